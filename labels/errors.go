package labels

import (
	"fmt"
	"unicode"

	"golang.org/x/text/unicode/bidi"

	"graftslip/layouts"
	"graftslip/records"
)

// Where is the cell of a manifest to which an error belongs.
type Where struct {
	Row    int    // 0 for what stands in no row, such as the name of the nursery
	Column string // or what else is at fault
}

// What stands for a column where none is at fault alone.
const (
	nurseryColumn = "nursery"
	labelColumn   = "label"
)

func (w Where) String() string {
	if w.Row == 0 {
		return w.Column
	}
	return fmt.Sprintf("row %d, %s", w.Row, w.Column)
}

// Error says why a batch cannot be laid out, or why a word stands for none of
// what this package knows.
type Error struct {
	Where  // zero for a word
	Code   Code
	Err    error  // what is wrong; its advice holds here too
	Advice string // what to do, in one line; may be empty
}

// Code is what kind of error it is, as far as somebody may act on it.
type Code uint8

// The codes; 0 is any other error.
const (
	NoCharacter Code = iota + 1 // a text has a character that cannot be set, on whatever label stock
	NoRoom                      // a text does not fit, not even at the smallest size
)

func (e *Error) Error() string {
	if e.Where == (Where{}) {
		return e.Err.Error()
	}
	return fmt.Sprintf("%v: %v", e.Where, e.Err)
}

// Unwrap returns what is wrong.
func (e *Error) Unwrap() error { return e.Err }

// Hint is the advice.
func (e *Error) Hint() string { return e.Advice }

// noRoom says that a text of a cell, or one of this program's, does not fit in so
// many lines; on says on what.
func noRoom(where Where, text, on string, room layouts.Size, lines int) *Error {
	what := "the text"
	if where.Column != labelColumn {
		what = fmt.Sprintf("%q", text)
	}
	in := fmt.Sprintf("%d lines", lines)
	if lines <= 1 {
		in = "one line"
	}
	return &Error{Where: where, Code: NoRoom, Err: fmt.Errorf("%s does not fit in %s × %s mm on %s, even at %s pt in %s",
		what, layouts.FormatTenth(room.Width), layouts.FormatTenth(room.Height), on, layouts.FormatNumber(LeastSize), in)}
}

// cell is a text of a manifest.
type cell struct{ column, text string }

// checkText finds every cell of a row with a character that cannot be set.
func checkText(face *Typeface, row int, cells ...cell) []error {
	const highestCharacter = 0xFFFF // that package pdf can set
	var errs []error
	for _, cell := range cells {
		for _, r := range cell.text {
			var fault error
			advice := ""
			switch {
			case needsShaping(r) || r > highestCharacter:
				fault = fmt.Errorf("the character %q (U+%04X) in %q cannot be printed", r, r, cell.text)
				advice = "write it in Latin, Greek, Cyrillic, Chinese, Japanese or Korean script"
			case face.missing(r):
				fault = fmt.Errorf("the font %s has no character %q (U+%04X), needed for %q", face.Name, r, r, cell.text)
				advice = "use --font FILE.ttf with a TrueType font that has it"
			default:
				continue
			}
			errs = append(errs, &Error{Where{row, cell.column}, NoCharacter, fault, advice})
			break
		}
	}
	return errs
}

// cells are the texts of a row that stand on cards, the names first, which stand on
// labels too.
func cells(d records.Draft) []cell {
	return []cell{
		{"variety", records.Quoted(d.Variety)}, {"stock", records.Quoted(d.Stock)},
		{"source", d.Source}, {"grafter", d.Grafter}, {"note", d.Note},
	}
}

// needsShaping reports whether letters of the script cannot simply be set side
// by side from left to right (Unicode Standard, chapters 9 and 12-16; Unicode
// Standard Annex 9).
func needsShaping(r rune) bool {
	properties, _ := bidi.LookupRune(r)
	switch properties.Class() {
	case bidi.R, bidi.AL, bidi.AN:
		return true
	}
	return unicode.In(r, unicode.Devanagari, unicode.Bengali, unicode.Gurmukhi, unicode.Gujarati, unicode.Oriya, unicode.Tamil, unicode.Telugu,
		unicode.Kannada, unicode.Malayalam, unicode.Sinhala, unicode.Thai, unicode.Lao, unicode.Tibetan, unicode.Myanmar, unicode.Khmer,
		unicode.Mongolian, unicode.Balinese, unicode.Javanese, unicode.Sundanese, unicode.Tai_Tham, unicode.Cham)
}
