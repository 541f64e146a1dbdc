package layouts

import (
	"fmt"
	"math"
	"strings"
)

// Wrap is how a label goes round a stem.
type Wrap uint8

// The wraps. All run round the stem once and leave it room to grow.
const (
	// Flag: the ends are stuck back to back. The middle is the loop, blank;
	// two panels of equal length stand off the stem, one to be read from each
	// side, both upright.
	Flag Wrap = iota + 1
	// Loop: the blank tail at the left goes round the stem and is pulled
	// through a slit or stuck down at the neck; the printed head hangs free
	// and reads from the stem outwards.
	Loop
	// Band: the label lies on the stem, its right end stuck over its left.
	// The outermost turn carries the print, on a curve.
	Band
)

const (
	// Clearance is the usual room between stem and label, in mm of diameter, for
	// growth and fingers.
	Clearance = 2.0
	// grip is the length of a loop's tail that is pulled through the slit or
	// stuck down, in mm. Common practice, no source.
	grip = 12.0
	// overlap is the least length of a band that lies on the band itself, in
	// mm. Common practice, no source.
	overlap = 6.0
)

// Wraps lists the wraps in the order in which they are offered.
func Wraps() []Wrap { return []Wrap{Flag, Loop, Band} }

func (w Wrap) String() string { return [...]string{"", "flag", "loop", "band"}[w] }

// ParseWrap reads the name of a wrap in any case. The error is an *Error.
func ParseWrap(s string) (Wrap, error) {
	for _, wrap := range Wraps() {
		if strings.EqualFold(strings.TrimSpace(s), wrap.String()) {
			return wrap, nil
		}
	}
	return 0, &Error{fmt.Sprintf("%q is not a label wrap", s),
		"use flag (ends stuck back to back), loop (a tail round the stem) or band (lies on the stem)"}
}

// Stem is what a label goes round.
type Stem struct {
	Diameter  float64 // mm
	Clearance float64 // room added to the diameter, mm
}

// Loop is the length of label that goes once round the stem with its clearance.
func (s Stem) Loop() float64 { return math.Pi * (s.Diameter + s.Clearance) }

// Bend says along which side of a panel the curve of the stem runs.
type Bend uint8

const (
	Flat Bend = iota
	BendsAlongWidth
	BendsAlongHeight
)

// Panel is a part of a label that may carry print. Its place is given in the
// label's face; its content may be turned there.
type Panel struct {
	Placed
	Bend     Bend    // in the content's own directions
	Diameter float64 // of the bend, mm; 0 when flat
}

// Wrapped is a label on its stem.
type Wrapped struct {
	Panels  []Panel   // from left to right on the face
	Creases []float64 // x on the face where the label leaves the stem or begins to overlap
}

// The least room for print that a panel needs, in mm: on each of a flag's two
// panels a code in two lines of 6 pt and below or beside it the smallest
// symbol; on a single panel both side by side.
func leastPanel(w Wrap) Size {
	if w == Flag {
		return Size{10.5, 9.5}
	}
	return Size{18.5, 9.5}
}

// Wrap lays a label of the stock round a stem so that it can still be read. The
// error is an *Error.
func (s Stock) Wrap(w Wrap, stem Stem) (Wrapped, error) {
	wrapped, left := s.wrap(w, stem)
	if fits(w, left) && s.Medium != Card {
		return wrapped, nil
	}
	if s.Medium == Card {
		return Wrapped{}, &Error{Text: s.Name + " is a card; cards do not go round stems"}
	}
	least := leastPanel(w)
	return Wrapped{}, &Error{Text: fmt.Sprintf(
		"%s does not fit a stem of %s with %s of clearance as a %s: it leaves %s × %s mm for print and needs %s × %s mm",
		s.Name, FormatLength(stem.Diameter), FormatLength(stem.Clearance), w, FormatTenth(left.Width), FormatTenth(left.Height), FormatNumber(least.Width), FormatNumber(least.Height))}
}

func fits(w Wrap, left Size) bool {
	least := leastPanel(w)
	const slack = 1e-9
	return left.Width >= least.Width-slack && left.Height >= least.Height-slack
}

// wrap does the geometry for any stem, and says what room it leaves on the
// smallest panel, in the directions of the panel's content.
func (s Stock) wrap(w Wrap, stem Stem) (Wrapped, Size) {
	face, safe, loop := s.Face(), s.Safe(), stem.Loop()
	between := func(from, to float64) Rect {
		return safe.Intersect(Rect{from, 0, max(0, to-from), face.Height})
	}
	var wrapped Wrapped
	switch w {
	case Flag:
		panel := (face.Width - loop) / 2
		wrapped.Creases = []float64{panel, panel + loop}
		wrapped.Panels = []Panel{
			{Placed: Placed{Rect: between(0, panel-Edge)}},
			{Placed: Placed{Rect: between(panel+loop+Edge, face.Width)}},
		}
	case Loop:
		tail := loop + grip
		wrapped.Creases = []float64{tail}
		wrapped.Panels = []Panel{{Placed: Placed{Rect: between(tail+Edge, face.Width)}}}
	case Band:
		seam := face.Width - loop
		wrapped.Creases = []float64{seam}
		panel := Panel{Placed{between(seam+Edge, face.Width), Upright}, BendsAlongWidth, stem.Diameter}
		if seam < overlap {
			panel.Width = 0
		}
		// Lines that run along the stem are read without turning the plant,
		// where the label is wide enough for them.
		if panel.Height >= leastPanel(Band).Width {
			panel.Turn, panel.Bend = Clockwise, BendsAlongHeight
		}
		wrapped.Panels = []Panel{panel}
	}
	return wrapped, wrapped.Panels[0].Inner()
}

// Thickest is the diameter in mm of the thickest stem that a label of the
// stock can wrap with the given clearance, or 0 when it can wrap none. A band also
// has a thinnest stem, below which its one turn is too short for print.
func (s Stock) Thickest(w Wrap, clearance float64) float64 {
	if s.Medium == Card {
		return 0
	}
	const tenths = 10 // of a mm
	for n := int(s.Face().Width / math.Pi * tenths); n > 0; n-- {
		diameter := float64(n) / tenths
		if _, left := s.wrap(w, Stem{diameter, clearance}); fits(w, left) {
			return diameter
		}
	}
	return 0
}
