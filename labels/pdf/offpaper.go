package pdf

import (
	"fmt"
	"math"

	"graftslip/labels"
	"graftslip/layouts"
)

// OffPaperError says that a correction brings print over the edge of the paper,
// where it would be lost.
type OffPaperError struct {
	Stock string
	Side  string  // of the paper: left, upper, right or lower
	By    float64 // how far the print would leave the paper there, mm
}

func (e *OffPaperError) Error() string {
	return fmt.Sprintf("shift and scale bring print over the %s edge of the paper of %s, by %.2f mm", e.Side, e.Stock, e.By)
}

// Hint says what to do.
func (e *OffPaperError) Hint() string { return "make --shift or --scale smaller, or leave them out" }

// leastOff is how far print must leave the paper to be refused, in mm.
const leastOff = 0.01

// measure notes how far a design's print leaves the paper. One without a symbol
// is a page to measure a printer with: its rules run from edge to edge of the paper,
// and on over them where it is corrected.
func (e *OffPaperError) measure(d Document, design labels.Design, place layouts.Placed) {
	if len(design.Symbols) == 0 || d.Correction.None() {
		return
	}
	ink := func(r layouts.Rect) {
		if by, side := d.Stock.Paper.Rect().Overhang(r); by > e.By {
			e.By, e.Side = by, side
		}
	}
	for _, text := range design.Texts {
		ink(d.textInk(text, place))
	}
	for _, symbol := range design.Symbols {
		ink(d.symbolInk(symbol, place))
	}
	for _, line := range design.Lines {
		ink(d.lineInk(line, place))
	}
}

// textInk is where a text is printed. It keeps its size, so its ink moves as
// the start of its baseline does.
func (d Document) textInk(t labels.Text, place layouts.Placed) layouts.Rect {
	fromX, fromY := place.Point(t.X, t.Y)
	toX, toY := d.Correction.Point(fromX, fromY)
	ink := place.Area(t.Ink)
	ink.X, ink.Y = ink.X+toX-fromX, ink.Y+toY-fromY
	return ink
}

// symbolInk is where a symbol is printed, without its quiet zone.
func (d Document) symbolInk(s labels.Symbol, place layouts.Placed) layouts.Rect {
	on := d.symbolPlace(s, place)
	quietX, quietY := s.Quiet()
	inner, across, down := on.Inner(), float64(quietX)*s.Module, float64(quietY)*s.Module
	return on.Area(layouts.Rect{X: across, Y: down, Width: inner.Width - 2*across, Height: inner.Height - 2*down})
}

// lineInk is where a line is printed, with its square ends.
func (d Document) lineInk(l labels.Line, place layouts.Placed) layouts.Rect {
	fromX, fromY := d.Correction.Point(place.Point(l.FromX, l.FromY))
	toX, toY := d.Correction.Point(place.Point(l.ToX, l.ToY))
	half := l.Thickness / 2
	return layouts.Rect{X: min(fromX, toX), Y: min(fromY, toY), Width: math.Abs(toX - fromX), Height: math.Abs(toY - fromY)}.Inset(-half, -half, -half, -half)
}
