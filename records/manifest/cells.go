package manifest

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// What messages expect of a cell.
const (
	expectedUTF8   = `text in UTF-8: save the spreadsheet as "CSV UTF-8"`
	expectedDate   = "a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026"
	expectedDay    = "a date that exists"
	expectedYears  = "a date from 2000-01-01 to 2099-12-31"
	expectedNumber = "a whole number from 1 to 8999"
	expectedLength = "a diameter with its unit, such as 8mm or 5/16in"
	expectedStem   = "a diameter from 1 mm to 60 mm"
	expectedWrap   = "flag, loop, band or flat"
)

// setCell reads one cell of the named column, any but the date, into its field
// of a draft.
func setCell(draft *records.Draft, column string, c cell) (f *fault) {
	switch column {
	case columnVariety:
		draft.Variety, f = c.name()
	case columnStock:
		draft.Stock, f = c.name()
	case columnGrafts:
		draft.Grafts, f = c.count()
	case columnSource:
		draft.Source, f = readText(c.Text)
	case columnGrafter:
		draft.Grafter, f = readText(c.Text)
	case columnNote:
		draft.Note, f = readText(c.Text)
	case columnTray:
		if !c.IsEmpty() {
			draft.TraySize, f = c.count()
		}
	case columnStem:
		if !c.IsEmpty() {
			draft.Stem, f = c.diameter()
		}
	case columnWrap:
		if !c.IsEmpty() {
			draft.Wrap, f = c.wrap()
		}
	}
	return f
}

// date reads a date.
func (c cell) date() (time.Time, *fault) {
	text := tidy(c.Text)
	if c.Kind == sheet.Number || isDigits(text) {
		f := c.wrong(expectedDate)
		f.advice = "a bare number may be a day count or part of a code: format the column as dates, or type them as in 2026-11-25"
		return time.Time{}, f
	}
	written, ok := parseWritten(text)
	day := written[DayFirst]
	switch {
	case !ok:
		return day, c.wrong(expectedDate)
	case len(written.orders(dateOrders())) == 0:
		return day, c.wrong(expectedDay)
	case !written.fixed():
		if asked := c.use.dates.asked; asked != nil {
			return day, &fault{quote(c.Text), asked.expected, asked.advice}
		}
		order := c.use.dates.order
		if day = written[order]; day.IsZero() {
			return day, c.wrong(fmt.Sprintf("a date with the %s first, as in --dates %v", order.first(), order))
		}
	}
	if _, err := codes.New(day, 1); err != nil {
		return day, c.wrong(expectedYears)
	}
	return day, nil
}

// diameter reads a length; the unit may be in the heading.
func (c cell) diameter() (float64, *fault) {
	text := tidy(c.Text)
	bare := strings.Trim(text, "0123456789.,/ ") == ""
	if bare {
		text += c.unit
	}
	mm, err := layouts.ParseLength(text)
	if err != nil {
		f := c.wrong(expectedLength)
		if bare {
			f.advice = "give the unit in each cell, or once in the heading, as in stem (mm)"
		}
		return 0, f
	}
	if !records.IsStem(mm) {
		return 0, c.wrong(expectedStem)
	}
	return mm, nil
}

func (c cell) wrap() (layouts.Wrap, *fault) {
	wrap, err := layouts.ParseWrap(tidy(c.Text))
	if err != nil {
		return 0, c.wrong(expectedWrap)
	}
	return wrap, nil
}

// trayFault reports a tray size so small that there are too many trays. A
// draft whose grafts could not be read has none.
func trayFault(draft records.Draft) *fault {
	if draft.Trays() <= codes.MaxTray {
		return nil
	}
	least := (draft.Grafts + codes.MaxTray - 1) / codes.MaxTray
	return &fault{
		found:    fmt.Sprintf(`"%d"`, draft.TraySize),
		expected: fmt.Sprintf("at least %d for %d grafts: a batch has at most %d trays", least, draft.Grafts, codes.MaxTray),
	}
}

// name reads a variety or stock.
func (c cell) name() (string, *fault) {
	if c.Kind == sheet.Date {
		return "", c.wrong("a name: the spreadsheet turned it into a date, so format the cell as text and retype it")
	}
	typed := tidy(c.Text)
	bare := unquote(typed)
	name := hybrids(bare)
	if f := textFault(c.Text, name, records.MaxName); f != nil {
		return "", f
	}
	if name == "" {
		return "", c.wrong("a name")
	}
	if bare == typed {
		return name, nil
	}
	name = records.QuotedName(name)
	return name, textFault(c.Text, name, records.MaxName)
}

// readText reads a source, grafter or note, which may be empty.
func readText(cell string) (string, *fault) {
	text := tidy(cell)
	return text, textFault(cell, text, records.MaxText)
}

// textFault returns what is wrong with a text that was read from a cell.
func textFault(cell, text string, most int) *fault {
	if !utf8.ValidString(cell) {
		return &fault{found: quote(cell), expected: expectedUTF8}
	}
	for _, r := range text {
		if reason := characterFault(r); reason != "" {
			return &fault{found: quote(cell), expected: fmt.Sprintf("%s (%U)", reason, r)}
		}
	}
	if count := utf8.RuneCountInString(text); count > most {
		return &fault{found: quote(cell), expected: fmt.Sprintf("at most %d characters (it has %d)", most, count)}
	}
	return nil
}

// tidy takes white space off the ends, makes one space of white space inside,
// and puts what is left into Unicode normalisation form C.
func tidy(cell string) string {
	return norm.NFC.String(strings.Join(strings.Fields(cell), " "))
}

// characterFault returns what is expected instead when a character cannot
// stand in a name or a text, else "".
func characterFault(r rune) string {
	switch {
	case r == utf8.RuneError:
		return "text without lost characters; one was lost when the file was saved, so retype it"
	case unicode.IsControl(r):
		return "text without control characters"
	case unicode.Is(unicode.Bidi_Control, r):
		return "text without characters that change the direction of writing"
	case unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector):
		return "text without invisible characters"
	case unicode.Is(unicode.Noncharacter_Code_Point, r):
		return "text without codes that are not characters"
	case r > 0xFFFF:
		return "text without characters above U+FFFF, which cannot be printed"
	}
	return ""
}

// quotationMarks returns the pairs of marks that may enclose a name, each an
// opening and a closing mark. German, Polish, Scandinavian, French and Danish
// usage differ in which mark opens and which closes.
func quotationMarks() [][2]rune {
	return [][2]rune{
		{'\'', '\''}, {'"', '"'}, {'`', '`'}, {'´', '´'}, {'`', '´'}, {'`', '\''},
		{'‘', '’'}, {'“', '”'}, {'‚', '‘'}, {'‚', '’'}, {'„', '“'}, {'„', '”'}, {'’', '’'}, {'”', '”'}, {'‛', '’'},
		{'«', '»'}, {'»', '«'}, {'»', '»'}, {'‹', '›'}, {'›', '‹'}, {'›', '›'}, {'「', '」'}, {'『', '』'},
	}
}

// unquote takes off quotation marks that enclose the whole of a tidied name,
// and the space inside them.
func unquote(name string) string {
	if utf8.RuneCountInString(name) > 2*records.MaxName {
		return name // too long without its marks too
	}
	for {
		inner, found := unquoteOnce(name)
		if !found {
			return name
		}
		name = inner
	}
}

func unquoteOnce(name string) (string, bool) {
	opening, first := utf8.DecodeRuneInString(name)
	closing, last := utf8.DecodeLastRuneInString(name)
	if len(name) < first+last {
		return name, false
	}
	for _, pair := range quotationMarks() {
		if opening != pair[0] || closing != pair[1] {
			continue
		}
		inner := strings.TrimSpace(name[first : len(name)-last])
		return inner, !records.OpensInside(inner, opening)
	}
	return name, false
}

// hybrids writes a hybrid sign where a letter x stands for it: between words
// or before the first.
func hybrids(name string) string {
	if rest, found := strings.CutPrefix(name, "x "); found {
		name = "×" + rest
	}
	return strings.ReplaceAll(name, " x ", " × ")
}
