// Package photos makes photographs of printed labels and cards as a phone
// takes them in a greenhouse, from a seed, with what really stands on them
// known. They measure how well readers of symbols read.
//
// Light is reckoned with as light: shades, shadows, reflections and blur are
// worked out in linear light and only then turned into the numbers of a
// picture. Strengths of damages are uniform within ranges that stand in
// kinds.go; none was set by what a reader reads.
package photos

import (
	"image"
	"strings"
)

// Kind is what is the matter with a photograph, in words.
type Kind string

// Folder is the kind's name with dashes, for a folder of such photographs.
func (k Kind) Folder() string { return strings.ReplaceAll(string(k), " ", "-") }

// Photo is one photograph.
type Photo struct {
	Kind   Kind
	Symbol string // "qr", "datamatrix" or "code128"; "" without a code
	Seed   uint64
	JPEG   []byte      // as the camera writes it
	Size   image.Point // pixels
	Codes  []Code      // all codes on it
}

// Code is a symbol on a photograph.
type Code struct {
	Text string
	// Corners are those of the symbol without its quiet zone, in pixels from the
	// upper left corner of the picture, clockwise from the symbol's own upper
	// left as it was printed.
	Corners [4][2]float64
	// Module is the mean width of a module in pixels, in that of the symbol's two
	// directions in which it is smaller. Bars have one direction.
	Module float64
}
