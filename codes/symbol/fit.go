package symbol

import (
	"fmt"
	"math"
)

// Sizes in millimetres.
const (
	// SmallestModule: a smaller one is refused, and one below small is marked. They
	// are this project's own limits, near the smallest and the nominal module of
	// consumer goods, 0.264 and 0.330 mm (EAN, seen).
	SmallestModule = 0.25
	small          = 0.33

	// The bars of a Code 128: common practice, no source.
	shortestBar = 5
	longestBar  = 12

	// longest is the longest room that is taken for one.
	longest = 1e6

	// tolerance is what binary fractions may add up to, far less than anything
	// that can be printed: a nanometre.
	tolerance = 1e-6
)

// Fitted is a symbol at the size at which it is to be printed.
type Fitted struct {
	Modules
	Dots   int     // printer dots to a module
	Module float64 // mm to a module
	// Turned: the symbol is to be drawn with a quarter turn clockwise, so that
	// its first column comes to lie at the top. Only Code 128 is ever turned.
	Turned bool
	// Width and Height are what it takes up of the room as it is drawn (turned
	// if Turned), in mm, quiet zone included. They hide the methods of the same
	// names, which Modules still has.
	Width, Height float64
	Bar           float64 // length of the bars in mm, Code 128 only
	Small         bool    // the module is below 0.33 mm
}

// Dot returns the side of a printer's dot in millimetres. A printer that is
// called 203 dpi has eight dots to a millimetre, that is 203.2.
func Dot(dpi float64) float64 {
	if dpi == 203 {
		return 0.125
	}
	return 25.4 / dpi
}

// Fit returns m at the largest size that fits the room, with modules of a
// whole number of printer dots, at least 0.25 mm, and at most most mm unless
// most is 0.
//
// In a bent room the dark modules (the quiet zone is blank and does not count)
// take up at most 0.5236 diameters across the curve, under the 30° rule; see
// Room. The bars of a Code 128 take up the other side of the room, from 5 mm
// up to 12 mm. Where a Code 128 does not fit as it is, for lack of room or
// under the 30° rule, it is turned by a quarter if it fits then; bars that run
// round the curve may do so without limit.
//
// The error is a *RoomError if there is too little room.
func (m Modules) Fit(room Room, dpi float64, most float64) (Fitted, error) {
	if m.kind == 0 {
		return Fitted{}, &fault{text: "there is no symbol to fit", hint: "encode a text first"}
	}
	if err := checkPrinter(dpi, most); err != nil {
		return Fitted{}, err
	}
	if err := room.check(); err != nil {
		return Fitted{}, err
	}
	var (
		dot     = Dot(dpi)
		least   = leastDots(dot)
		nearest way
		module  float64 // of the nearest way
	)
	for i, w := range m.ways(room) {
		dots := w.dots(dot, most)
		if dots >= least && m.barred(w) {
			return m.place(w, dots, dot), nil
		}
		fits, need := float64(dots)*dot, float64(least)*dot
		if i == 0 || w.nearness(fits, need) > nearest.nearness(module, need) {
			nearest, module = w, fits
		}
	}
	return Fitted{}, m.refuse(nearest, room, dpi, module)
}

// place returns m as w puts it, with modules of so many dots.
func (m Modules) place(w way, dots int, dot float64) Fitted {
	module := float64(dots) * dot
	width, height := m.extent(w, module, w.bar)
	return Fitted{
		Modules: m,
		Dots:    dots,
		Module:  module,
		Turned:  w.turned,
		Width:   width,
		Height:  height,
		Bar:     w.bar,
		Small:   !atLeast(module, small),
	}
}

// refuse returns the error for a way that does not fit, and the module that
// would.
func (m Modules) refuse(w way, room Room, dpi, module float64) error {
	least := float64(leastDots(Dot(dpi))) * Dot(dpi)
	width, height := m.extent(w, least, shortestBar)
	return &RoomError{
		Kind:     m.kind,
		Columns:  m.width,
		Rows:     m.height,
		Room:     room,
		DPI:      dpi,
		Turned:   w.turned,
		Module:   module,
		Bar:      w.bar,
		Least:    least,
		Width:    width,
		Height:   height,
		Diameter: float64(w.curve) * least / spanOfDiameter,
	}
}

// extent returns what m takes up, in mm, as w puts it.
func (m Modules) extent(w way, module, bar float64) (width, height float64) {
	columns, rows := m.withQuiet()
	width, height = float64(columns)*module, float64(rows)*module
	if m.kind == Code128 {
		height = bar
	}
	if w.turned {
		return height, width
	}
	return width, height
}

// checkPrinter refuses figures with which nothing can be printed.
func checkPrinter(dpi, most float64) error {
	if !(dpi >= 1 && dpi <= 100_000) {
		return &fault{text: fmt.Sprintf("no printer has %g dpi", dpi), hint: "most have 203, 300 or 600"}
	}
	if !(most >= 0) {
		return &fault{text: fmt.Sprintf("a symbol cannot have modules of at most %s mm", millimetres(most)),
			hint: "give a length, or 0 for no limit"}
	}
	if least := float64(leastDots(Dot(dpi))) * Dot(dpi); most > 0 && !atLeast(most, least) {
		return &fault{
			text: fmt.Sprintf("modules of at most %s mm are too small: at %g dpi they have %s mm or more", millimetres(most), dpi, millimetres(least)),
			hint: "allow larger ones, or give 0 for no limit",
		}
	}
	return nil
}

// leastDots returns the fewest whole dots that make a module of 0.25 mm.
func leastDots(dot float64) int {
	return int(math.Ceil((SmallestModule - tolerance) / dot))
}

// atLeast reports whether a length is as long as it has to be.
func atLeast(length, least float64) bool { return length >= least-tolerance }

// Axis says along which side of a room the room is bent.
type Axis uint8

// The ways a room may be bent.
const (
	None         Axis = iota // not at all: the room is flat
	AcrossWidth              // the stem's curve runs along the width, the stem along the height
	AcrossHeight             // the stem's curve runs along the height, the stem along the width
)

// Room is where a symbol may go, in millimetres, quiet zone included.
type Room struct {
	Width, Height float64
	Around        Axis    // how the room is bent
	Diameter      float64 // of the curve, in millimetres; not looked at if the room is flat
}

// spanOfDiameter is what the dark modules may take up across a curve, in
// diameters of the curve, under the 30° rule.
//
// The rule: the tangent at the middle of a symbol and the one at its outermost
// bar must meet at less than 30°, else the bars have to run round the curve
// ("ladder"). Hence 60° in all, an arc of π/6 diameters. Source: GS1 General
// Specifications, orientation of symbols on curved surfaces (secondary); the
// arc is computed from it. That the rule holds for QR and Data Matrix too, in
// the direction across the curve, is an inference: the specification speaks of
// bars.
const spanOfDiameter = math.Pi / 6

// check refuses a room whose figures are none. A room with no space in it is
// one in which nothing fits.
func (r Room) check() error {
	type side struct {
		name   string
		length float64
		least  float64
	}
	sides := []side{{"width", r.Width, -longest}, {"height", r.Height, -longest}}
	switch r.Around {
	case None:
	case AcrossWidth, AcrossHeight:
		sides = append(sides, side{"diameter", r.Diameter, tolerance})
	default:
		return &fault{text: "a symbol's room is bent in no known way",
			hint: "bend it across its width, across its height, or not at all"}
	}
	for _, s := range sides {
		if !(s.length >= s.least && s.length <= longest) {
			return &fault{
				text: fmt.Sprintf("a symbol's room cannot have a %s of %s mm", s.name, millimetres(s.length)),
				hint: "give it a length above 0",
			}
		}
	}
	return nil
}

// way is one way to put a symbol into a room.
type way struct {
	turned bool
	limits []limit
	curve  int     // modules that the 30° rule limits, 0 if none
	bar    float64 // length in mm that is there for the bars, Code 128 only
}

// limit is a number of modules, side by side, and the length in mm that they
// must not exceed.
type limit struct {
	modules int
	length  float64
}

// ways returns the ways to put m into room, the one to be preferred first.
func (m Modules) ways(room Room) []way {
	columns, rows := m.withQuiet()
	if m.kind != Code128 {
		w := way{limits: []limit{{columns, room.Width}, {rows, room.Height}}}
		switch room.Around {
		case AcrossWidth:
			w.bend(m.width, room)
		case AcrossHeight:
			w.bend(m.height, room)
		}
		return []way{w}
	}
	upright := way{limits: []limit{{columns, room.Width}}, bar: barIn(room.Height)}
	turned := way{limits: []limit{{columns, room.Height}}, bar: barIn(room.Width), turned: true}
	switch room.Around {
	case AcrossWidth:
		upright.bend(m.width, room)
	case AcrossHeight:
		turned.bend(m.width, room)
	}
	return []way{upright, turned}
}

// barIn returns the length of the bars in a room of so many mm.
func barIn(length float64) float64 { return max(0, min(length, longestBar)) }

// withQuiet returns the columns and rows of m and its quiet zone.
func (m Modules) withQuiet() (columns, rows int) {
	x, y := m.Quiet()
	return m.width + 2*x, m.height + 2*y
}

// bend puts modules that lie across the curve under the 30° rule.
func (w *way) bend(modules int, room Room) {
	w.curve = modules
	w.limits = append(w.limits, limit{modules, spanOfDiameter * room.Diameter})
}

// dots returns the most whole dots a module that keep all limits, and that
// make at most most mm unless most is 0.
func (w way) dots(dot, most float64) int {
	module := math.Inf(1)
	if most > 0 {
		module = most + tolerance
	}
	for _, l := range w.limits {
		module = min(module, (l.length+tolerance)/float64(l.modules))
	}
	return max(0, int(math.Floor(module/dot)))
}

// barred reports whether the bars, if m has any, are long enough.
func (m Modules) barred(w way) bool {
	return m.kind != Code128 || atLeast(w.bar, shortestBar)
}

// nearness says how near a way to put a Code 128 comes to fitting: how much of
// the least module it has, or of the shortest bar, whichever is less.
func (w way) nearness(module, least float64) float64 {
	return min(module/least, w.bar/shortestBar)
}
