package labels

import (
	"cmp"
	"fmt"
	"math"
	"unicode"

	"golang.org/x/text/unicode/bidi"

	"graftslip/layouts"
	"graftslip/records"
)

// Where is the cell of a manifest to which an error belongs.
type Where struct {
	Row    int    // 0 for what stands in no row, such as the name of the nursery
	Column string // empty when the fault lies in no single column
}

// nurseryColumn stands for a column where the name of the nursery is at fault.
const nurseryColumn = "nursery"

// ManifestRow is the row of the manifest, 0 when it is not known.
func (w Where) ManifestRow() int { return w.Row }

func (w Where) String() string {
	column := cmp.Or(w.Column, "label")
	if w.Row == 0 {
		return column
	}
	return fmt.Sprintf("row %d, %s", w.Row, column)
}

// GlyphError says that the typeface cannot set a character of a manifest's
// cell.
type GlyphError struct {
	Where
	Text      string
	Character rune
	Typeface  string
}

func (e *GlyphError) Error() string {
	return fmt.Sprintf("%v: %s has no character %q (U+%04X), found in %q", e.Where, e.Typeface, e.Character, e.Character, e.Text)
}

// Hint says how to go on.
func (e *GlyphError) Hint() string {
	return "--font FILE.ttf names a TrueType font that has it"
}

// FitError says that a text does not fit on a slip even at the smallest size.
type FitError struct {
	Where
	Text  string
	Stock string
	Wrap  layouts.Wrap // 0 on a card
	Room  layouts.Size // what there is for text and symbol, mm
	Lines int          // into which the text was broken at the most
}

func (e *FitError) Error() string {
	what := "the text"
	if e.Column != "" {
		what = fmt.Sprintf("%q", e.Text)
	}
	where := e.Stock
	if e.Wrap != 0 {
		where += " as a " + e.Wrap.String()
	}
	return fmt.Sprintf("%v: %s does not fit in %s × %s mm on %s, not even in %s pt and %s", e.Where, what, tenth(e.Room.Width), tenth(e.Room.Height), where, layouts.FormatNumber(LeastSize), lines(e.Lines))
}

func newFitError(batch records.Batch, stock layouts.Stock, wrap layouts.Wrap, p paragraph, room layouts.Size) *FitError {
	where := Where{batch.Row, p.column}
	if p.column == nurseryColumn {
		where.Row = 0
	}
	return &FitError{Where: where, Text: p.ways[0][0], Stock: stock.Name, Wrap: wrap, Room: room, Lines: len(p.ways)}
}

func lines(n int) string {
	if n <= 1 {
		return "one line"
	}
	return fmt.Sprintf("%d lines", n)
}

// tenth writes a length rounded down to a tenth of a millimetre.
func tenth(mm float64) string { return layouts.FormatNumber(math.Floor(mm*10) / 10) }

// PenError says that a card leaves too little room for the pen table.
type PenError struct {
	Where
	Stock string
	Left  layouts.Size // mm
	Least float64      // height, mm
}

func (e *PenError) Error() string {
	return fmt.Sprintf("%v: on %s the pen table has %s × %s mm, and needs a height of %s mm and room for its words", e.Where, e.Stock,
		tenth(e.Left.Width), tenth(e.Left.Height), layouts.FormatNumber(e.Least))
}

// PlaceError ties an error of geometry or of a symbol to a row.
type PlaceError struct {
	Where
	Err error
}

func (e *PlaceError) Error() string {
	return fmt.Sprintf("%v: %v", e.Where, e.Err)
}

// Unwrap returns the error itself, whose hint holds here too.
func (e *PlaceError) Unwrap() error { return e.Err }

// highestCharacter is the last one that the printer of the pages can set. A
// manifest has none above it.
const highestCharacter = 0xFFFF

// ScriptError says that a name is in a script that the printer of the pages
// cannot set: one written from right to left, one whose letters change their
// shapes in a word, or one beyond U+FFFF.
type ScriptError struct {
	Where
	Text      string
	Character rune
}

func (e *ScriptError) Error() string {
	return fmt.Sprintf("%v: the script of %q (U+%04X) cannot be set, found in %q", e.Where, e.Character, e.Character, e.Text)
}

// Hint says how to go on.
func (e *ScriptError) Hint() string {
	return "write the name in Latin, Greek, Cyrillic, Chinese, Japanese or Korean letters"
}

// checkText finds every cell with a character that cannot be set.
func checkText(face *Typeface, batch records.Batch, cells []cell) []error {
	var errs []error
	for _, cell := range cells {
		for _, r := range cell.text {
			if needsShaping(r) || r > highestCharacter {
				errs = append(errs, &ScriptError{Where{batch.Row, cell.column}, cell.text, r})
				break
			}
			if face.missing(r) {
				errs = append(errs, &GlyphError{Where: Where{batch.Row, cell.column}, Text: cell.text, Character: r, Typeface: face.Name})
				break
			}
		}
	}
	return errs
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

type cell struct{ column, text string }

// misfit says which paragraph is at fault when a block does not fit: the first
// name that is too wide in every way, else the longest name, or the longest
// text where none is from the manifest.
func misfit(paragraphs []paragraph, room layouts.Size) paragraph {
	worst := paragraphs[0]
	for _, p := range paragraphs {
		if _, fits := fitParagraph(p, len(p.ways), LeastSize, room.Width); !fits {
			return p
		}
		if p.column != "" && (worst.column == "" || p.reaches[0].width > worst.reaches[0].width) {
			worst = p
		}
	}
	return worst
}
