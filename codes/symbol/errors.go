package symbol

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

var (
	// ErrText: a kind of symbol cannot hold the text.
	ErrText = errors.New("unfit text")
	// ErrReadBack: the symbol does not read back as the text it was made from, and
	// must not be printed.
	ErrReadBack = errors.New("symbol unlike its text")
)

// fault is an error with advice. It wraps one of the errors above, or none.
type fault struct {
	text, hint string
	kind       error
}

func (f *fault) Error() string { return f.text }
func (f *fault) Hint() string  { return f.hint }
func (f *fault) Unwrap() error { return f.kind }

// unfit is the error for a text that a kind of symbol cannot hold.
func unfit(kind Kind, text, reason, hint string) error {
	return &fault{fmt.Sprintf("%s cannot hold %s: %s", kind, quoted(text), reason), hint, ErrText}
}

// unlike is the error for a symbol that does not read back as its text.
func unlike(kind Kind, text, outcome string) error {
	return &fault{fmt.Sprintf("the %s symbol made for %s %s", kind, quoted(text), outcome),
		"nothing was drawn; choose another kind of symbol and report the text", ErrReadBack}
}

// quoted quotes text for a message, and no more of it than a line holds.
func quoted(text string) string {
	const most = 60
	if runes := []rune(text); len(runes) > most {
		return strconv.Quote(string(runes[:most])) + "…"
	}
	return strconv.Quote(text)
}

// RoomError is a symbol that would have to be printed too small for its room.
type RoomError struct {
	Kind          Kind
	Columns, Rows int     // modules without the quiet zone; rows are 1 for Code 128
	Room          Room    // the room it was given
	DPI           float64 // the printer's dots an inch

	// What would fit: the way round that comes nearest to fitting.
	Turned bool    // by a quarter
	Module float64 // the largest module in mm, 0 if not even one dot fits
	Bar    float64 // length of the bars in mm, Code 128 only

	// What is needed, that way round.
	Least         float64 // the smallest module in mm: the fewest whole dots that make 0.25 mm
	Width, Height float64 // the room in mm, quiet zone included
	Diameter      float64 // the thinnest stem in mm, 0 where the 30° rule sets no limit
}

// Error says what does not fit where, and why.
func (e *RoomError) Error() string {
	size := fmt.Sprintf("%d × %d modules", e.Columns, e.Rows)
	if e.Kind == Code128 {
		size = fmt.Sprintf("%d modules", e.Columns)
	}
	where := fmt.Sprintf("%s × %s mm", millimetres(e.Room.Width), millimetres(e.Room.Height))
	if e.Room.Around != None {
		where += fmt.Sprintf(" round a stem of %s mm", millimetres(e.Room.Diameter))
	}
	why := fmt.Sprintf("its modules would be %s and must be at least %s", e.dots(e.Module), e.dots(e.Least))
	if atLeast(e.Module, e.Least) {
		why = fmt.Sprintf("its bars would be %s mm long and must be at least %d mm", millimetres(e.Bar), shortestBar)
	}
	return fmt.Sprintf("%s of %s does not fit in %s at %g dpi: %s", e.Kind, size, where, e.DPI, why)
}

// Hint says what room would do, in one line.
func (e *RoomError) Hint() string {
	hint := fmt.Sprintf("it needs %s × %s mm", roundedUp(e.Width), roundedUp(e.Height))
	if e.Diameter > 0 {
		hint += fmt.Sprintf(" round a stem of %s mm or more", roundedUp(e.Diameter))
	}
	switch {
	case e.Kind != DataMatrix:
		hint += "; datamatrix takes less room for a code"
	case e.Room.Around != None:
		hint += "; code128 can run along the stem"
	}
	return hint
}

// dots writes the size of a module for people.
func (e *RoomError) dots(module float64) string {
	unit := "dots"
	count := math.Round(module / Dot(e.DPI))
	if count == 1 {
		unit = "dot"
	}
	return fmt.Sprintf("%s mm (%.0f %s)", millimetres(module), count, unit)
}

// millimetres writes a length for people.
func millimetres(length float64) string {
	return strconv.FormatFloat(math.Round(length*1000)/1000, 'f', -1, 64)
}

// roundedUp writes a length that is needed, to a tenth of a millimetre and so
// that what is written is enough.
func roundedUp(length float64) string {
	return strconv.FormatFloat(math.Ceil(length*10-tolerance)/10, 'f', 1, 64)
}
