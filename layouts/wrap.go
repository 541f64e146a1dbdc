package layouts

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Wrap is how a label goes round a stem, if it does.
type Wrap uint8

// The wraps. The first three run round the stem once and leave it room to grow.
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
	// LiesFlat: the label goes round nothing. It goes on a stake, a pot or a
	// tie-on label, and all of it carries print.
	LiesFlat
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
func Wraps() []Wrap { return append(Rounds(), LiesFlat) }

// Rounds lists the wraps that go round a stem.
func Rounds() []Wrap { return []Wrap{Flag, Loop, Band} }

func (w Wrap) String() string { return [...]string{"", "flag", "loop", "band", "flat"}[w] }

// ParseWrap reads the name of a wrap in any case. The error is an *Error.
func ParseWrap(s string) (Wrap, error) {
	for _, wrap := range Wraps() {
		if strings.EqualFold(strings.TrimSpace(s), wrap.String()) {
			return wrap, nil
		}
	}
	return 0, &Error{fmt.Sprintf("%q is not a label wrap", s),
		"use flag (ends stuck back to back), loop (a tail round the stem), band (lies on the stem) or flat (on a stake or pot)"}
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

// leastPanels are the least rooms for print that a panel needs, in mm, any one of them, in
// the directions of its content: two lines of 6 pt and below or beside them the smallest
// symbol; on a flag symbol and names have a panel each. On a small label only the symbol
// and the part of the code that names the batch must have room. Computed: package
// labels fits them there.
func (s Stock) leastPanels(w Wrap) []Size {
	switch small := s.Small(); {
	case w == Flag && small:
		return []Size{{10.4, 4}, {4, 10.4}}
	case small:
		return []Size{{15.4, 4}, {10.4, 7.1}, {7.1, 10.4}}
	case w == Flag:
		return []Size{{10.5, 9.5}}
	}
	return []Size{{alongBand, 9.5}}
}

// alongBand is the width of a panel for names with a symbol beside them.
const alongBand = 18.5

// Small reports whether a label has no room, even lying flat, for four lines of 6 pt beside
// a symbol, which is everything that should stand on it.
func (s Stock) Small() bool {
	safe := s.Safe().Size()
	return !Size{max(safe.Width, safe.Height), min(safe.Width, safe.Height)}.holds(Size{26, 9.7})
}

// holds reports whether there is room for another size in s.
func (s Size) holds(other Size) bool {
	const slack = 1e-9
	return s.Width >= other.Width-slack && s.Height >= other.Height-slack
}

// Wrap lays a label of the stock round a stem so that it can still be read. The
// error is an *Error.
func (s Stock) Wrap(w Wrap, stem Stem) (Wrapped, error) {
	wrapped, left := s.wrap(w, stem)
	least := s.leastPanels(w)
	if s.Medium == Card {
		return Wrapped{}, &Error{Text: s.Name + " is a card; cards do not go round stems"}
	}
	if slices.ContainsFunc(least, left.holds) {
		return wrapped, nil
	}
	needed := least[0]
	if i := slices.IndexFunc(least, func(size Size) bool { return size.Height <= left.Height }); i >= 0 {
		needed = least[i]
	}
	round := fmt.Sprintf("fit a stem of %s with %s of clearance as a %s", FormatLength(stem.Diameter), FormatLength(stem.Clearance), w)
	if w == LiesFlat {
		round = "have room for print"
	}
	return Wrapped{}, &Error{Text: fmt.Sprintf("%s does not %s: it leaves %s × %s mm for print and needs %s × %s mm",
		s.Name, round, FormatTenth(left.Width), FormatTenth(left.Height), FormatNumber(needed.Width), FormatNumber(needed.Height))}
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
		if panel.Height >= alongBand {
			panel.Turn, panel.Bend = Clockwise, BendsAlongHeight
		}
		wrapped.Panels = []Panel{panel}
	case LiesFlat:
		wrapped.Panels = []Panel{{Placed: Placed{Rect: safe}}}
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
	least := s.leastPanels(w)
	for n := int(s.Face().Width / math.Pi * tenths); n > 0; n-- {
		diameter := float64(n) / tenths
		if _, left := s.wrap(w, Stem{diameter, clearance}); slices.ContainsFunc(least, left.holds) {
			return diameter
		}
	}
	return 0
}
