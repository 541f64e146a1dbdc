// Package layouts knows millimetres: label stock and where its labels lie on
// the paper, what a label looks like once it is wrapped round a stem, and how
// a rectangle is divided. It knows no text, no code and no page format.
//
// All lengths are millimetres. Rectangles are measured from the upper left
// corner, x to the right and y downwards.
package layouts

import "math"

// Error says why a text is no length, stock, wrap or correction, why a stock is
// none, or why a label does not go round a stem.
type Error struct {
	Text   string
	Advice string // what to do, in one line; may be empty
}

func (e *Error) Error() string { return e.Text }

// Hint is the advice.
func (e *Error) Hint() string { return e.Advice }

// Size is a width and a height in millimetres.
type Size struct {
	Width, Height float64
}

// Rect is the rectangle of that size at the upper left corner.
func (s Size) Rect() Rect { return Rect{Width: s.Width, Height: s.Height} }

// Rect is an upright rectangle in millimetres.
type Rect struct {
	X, Y, Width, Height float64
}

// Size is that of r.
func (r Rect) Size() Size { return Size{r.Width, r.Height} }

// Inset returns r made smaller by the given margins. A rectangle that would
// turn inside out comes back with zero width or height, within r.
func (r Rect) Inset(left, top, right, bottom float64) Rect {
	x, width := inset(r.X, r.Width, left, right)
	y, height := inset(r.Y, r.Height, top, bottom)
	return Rect{x, y, width, height}
}

func inset(from, length, before, after float64) (start, left float64) {
	if both := before + after; both > length {
		return from + length*before/both, 0
	}
	return from + before, length - before - after
}

// Intersect returns what r and s share, with zero width or height where they
// share nothing.
func (r Rect) Intersect(s Rect) Rect {
	x, y := max(r.X, s.X), max(r.Y, s.Y)
	return Rect{x, y, max(0, min(r.X+r.Width, s.X+s.Width)-x), max(0, min(r.Y+r.Height, s.Y+s.Height)-y)}
}

// Contains reports whether s lies within r, to a thousandth of a millimetre.
func (r Rect) Contains(s Rect) bool {
	const slack = 0.001
	return s.X >= r.X-slack && s.Y >= r.Y-slack &&
		s.X+s.Width <= r.X+r.Width+slack && s.Y+s.Height <= r.Y+r.Height+slack
}

// Overhang returns how far s reaches over the edge of r, and over which one, left,
// upper, right or lower: that where it reaches furthest. It is negative where s
// lies within r.
func (r Rect) Overhang(s Rect) (by float64, edge string) {
	by = math.Inf(-1)
	for _, each := range []struct {
		by   float64
		edge string
	}{
		{r.X - s.X, "left"}, {r.Y - s.Y, "upper"},
		{s.X + s.Width - r.X - r.Width, "right"}, {s.Y + s.Height - r.Y - r.Height, "lower"},
	} {
		if each.by > by {
			by, edge = each.by, each.edge
		}
	}
	return by, edge
}

// CutLeft takes a strip of the given width off the left side and returns it
// and what remains beyond a gap.
func (r Rect) CutLeft(width, gap float64) (strip, rest Rect) {
	return Rect{r.X, r.Y, width, r.Height}, r.Inset(width+gap, 0, 0, 0)
}

// CutTop takes a strip of the given height off the top and returns it and
// what remains below a gap.
func (r Rect) CutTop(height, gap float64) (strip, rest Rect) {
	return Rect{r.X, r.Y, r.Width, height}, r.Inset(0, height+gap, 0, 0)
}

// Turn is a number of quarter turns clockwise.
type Turn uint8

const (
	Upright Turn = iota
	Clockwise
	UpsideDown
	CounterClockwise
)

// Add returns the turn that follows t by u.
func (t Turn) Add(u Turn) Turn { return (t + u) % 4 }

// Sideways reports whether width and height are exchanged.
func (t Turn) Sideways() bool { return t%2 == 1 }

// Placed is an area with its own upright coordinates, laid turned into
// another area.
type Placed struct {
	Rect      // where it lies in the outer area
	Turn Turn // how its content is turned there
}

// Inner returns the size of the area as its own content sees it.
func (p Placed) Inner() Size {
	if p.Turn.Sideways() {
		return Size{p.Height, p.Width}
	}
	return Size{p.Width, p.Height}
}

// Point maps a point of the inner area to the outer area.
func (p Placed) Point(x, y float64) (outerX, outerY float64) {
	switch p.Turn {
	case Clockwise:
		return p.X + p.Width - y, p.Y + x
	case UpsideDown:
		return p.X + p.Width - x, p.Y + p.Height - y
	case CounterClockwise:
		return p.X + y, p.Y + p.Height - x
	}
	return p.X + x, p.Y + y
}

// Area maps a rectangle of the inner area to the outer area.
func (p Placed) Area(r Rect) Rect {
	x1, y1 := p.Point(r.X, r.Y)
	x2, y2 := p.Point(r.X+r.Width, r.Y+r.Height)
	return Rect{min(x1, x2), min(y1, y2), max(x1, x2) - min(x1, x2), max(y1, y2) - min(y1, y2)}
}
