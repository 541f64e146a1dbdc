// Package labels knows what stands on a label or card and where, in millimetres
// and with every text measured: stem labels, tray cards, sheets to work from and
// ruler pages. It draws nothing; package pdf puts designs on paper.
package labels

import (
	"graftslip/codes/symbol"
	"graftslip/layouts"
)

// LeastSize is the smallest size of text, in points.
const LeastSize = 6.0

// Design is what stands on one label, card or page, in millimetres from the upper
// left corner of its face.
type Design struct {
	Texts   []Text
	Symbols []Symbol
	Lines   []Line
	Creases []float64 // x where the label leaves the stem or begins to overlap
}

// Text is one line of text.
type Text struct {
	String string
	Size   float64 // points
	Weight Weight
	X, Y   float64 // where the baseline starts, mm
	Turn   layouts.Turn
	Ink    layouts.Rect // what it blackens at the most
}

// Symbol is a machine-readable symbol with its quiet zone.
type Symbol struct {
	symbol.Fitted
	Text  string       // what it says
	Place layouts.Rect // quiet zone included
	Turn  layouts.Turn // of the symbol as fitted, that is after its own turn
}

// Line is a straight stroke.
type Line struct {
	FromX, FromY, ToX, ToY float64
	Thickness              float64 // mm
}

// canvas writes on one area of a design in the area's own directions.
type canvas struct {
	design *Design
	face   *Typeface
	place  layouts.Placed
}

// text sets a line with its ink starting at x and its baseline at y, and
// returns what it blackens in the area's own directions.
func (c canvas) text(line string, size float64, w Weight, x, y float64) layouts.Rect {
	e := c.face.measure(line, size, w)
	x -= min(0, e.left)
	outerX, outerY := c.place.Point(x, y)
	ink := layouts.Rect{X: x + e.left, Y: y - e.top, Width: e.right - e.left, Height: e.top - e.bottom}
	c.design.Texts = append(c.design.Texts, Text{
		String: line, Size: size, Weight: w, X: outerX, Y: outerY, Turn: c.place.Turn, Ink: c.place.Area(ink),
	})
	return ink
}

func (c canvas) symbol(fitted symbol.Fitted, text string, x, y float64) {
	c.design.Symbols = append(c.design.Symbols, Symbol{
		Fitted: fitted, Text: text, Turn: c.place.Turn,
		Place: c.place.Area(layouts.Rect{X: x, Y: y, Width: fitted.Width, Height: fitted.Height}),
	})
}

func (c canvas) line(fromX, fromY, toX, toY, thickness float64) {
	fromX, fromY = c.place.Point(fromX, fromY)
	toX, toY = c.place.Point(toX, toY)
	c.design.Lines = append(c.design.Lines, Line{fromX, fromY, toX, toY, thickness})
}

func (c canvas) rectangle(r layouts.Rect, thickness float64) {
	right, bottom := r.X+r.Width, r.Y+r.Height
	c.line(r.X, r.Y, right, r.Y, thickness)
	c.line(right, r.Y, right, bottom, thickness)
	c.line(right, bottom, r.X, bottom, thickness)
	c.line(r.X, bottom, r.X, r.Y, thickness)
}
