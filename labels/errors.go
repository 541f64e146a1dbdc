package labels

import (
	"fmt"
	"math"

	"graftslip/layouts"
	"graftslip/records"
)

// GlyphError says that the typeface cannot set a character of a manifest's
// cell.
type GlyphError struct {
	Row       int
	Column    string
	Text      string
	Character rune
	Typeface  string
}

func (e *GlyphError) Error() string {
	return fmt.Sprintf("row %d, %s: %s has no character %q (U+%04X), found in %q", e.Row, e.Column, e.Typeface, e.Character, e.Character, e.Text)
}

// Hint says how to go on.
func (e *GlyphError) Hint() string {
	return "--font FILE.ttf names a TrueType font that has it"
}

// FitError says that a text does not fit on a slip even at the smallest size.
type FitError struct {
	Row    int
	Column string // empty when the fault lies in no single column
	Text   string
	Stock  string
	Wrap   layouts.Wrap // 0 on a card
	Room   layouts.Size // what there is for text and symbol, mm
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
	return fmt.Sprintf("row %d, %s: %s does not fit in %s × %s mm on %s, not even in %s pt and two lines", e.Row, columnOr(e.Column, "label"),
		what, tenth(e.Room.Width), tenth(e.Room.Height), where, layouts.FormatNumber(LeastSize))
}

// tenth writes a length rounded down to a tenth of a millimetre.
func tenth(mm float64) string { return layouts.FormatNumber(math.Floor(mm*10) / 10) }

// PlaceError ties an error of geometry or of a symbol to a row.
type PlaceError struct {
	Row    int
	Column string
	Err    error
}

func (e *PlaceError) Error() string {
	return fmt.Sprintf("row %d, %s: %v", e.Row, columnOr(e.Column, "label"), e.Err)
}

// Unwrap returns the error itself, whose hint holds here too.
func (e *PlaceError) Unwrap() error { return e.Err }

func columnOr(column, other string) string {
	if column == "" {
		return other
	}
	return column
}

// checkGlyphs finds every cell with a character that cannot be set.
func checkGlyphs(face *Typeface, batch records.Batch, cells []cell) []error {
	var errs []error
	for _, cell := range cells {
		if r, missing := face.Missing(cell.text); missing {
			errs = append(errs, &GlyphError{Row: batch.Row, Column: cell.column, Text: cell.text, Character: r, Typeface: face.Name})
		}
	}
	return errs
}

type cell struct{ column, text string }

// misfit says which paragraph is at fault when a block does not fit: the first
// name that is too wide in every way, else the longest name.
func misfit(face *Typeface, paragraphs []paragraph, room layouts.Size) (column, text string) {
	longest := 0.0
	for _, p := range paragraphs {
		if p.column == "" {
			continue
		}
		if _, fits := fitParagraph(face, p, p.ways, LeastSize, room.Width); !fits {
			return p.column, p.ways[0][0]
		}
		if width := face.measure(p.ways[0][0], LeastSize, p.weight).width(); width > longest {
			longest, column, text = width, p.column, p.ways[0][0]
		}
	}
	return column, text
}
