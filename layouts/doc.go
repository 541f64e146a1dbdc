// Package layouts knows millimetres: label stock and where its labels lie on
// the paper, what a label looks like once it is wrapped round a stem, and how
// a rectangle is divided. It knows no text, no code and no page format.
//
// All lengths are millimetres. Rectangles are measured from the upper left
// corner, x to the right and y downwards.
package layouts
