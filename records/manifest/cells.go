package manifest

import (
	"fmt"
	"time"
	"unicode/utf8"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// What messages expect of a cell.
const (
	expectedUTF8   = "text in UTF-8: " + saveAs
	expectedDate   = "a date written YYYY-MM-DD, such as 2026-11-25"
	expectedDay    = "a day that is in the calendar"
	expectedYears  = "a date from 2000-01-01 to 2099-12-31"
	expectedNumber = "a whole number from 1 to 8999"
	expectedLength = "a diameter with its unit, such as 8mm or 5/16in"
	expectedStem   = "a diameter from 1 mm to 60 mm"
	expectedWrap   = "flag, loop or band"
)

// setCell reads one cell of the named column, any but the date, into its field
// of a draft.
func setCell(draft *records.Draft, column, cell string) (f *fault) {
	switch column {
	case columnVariety:
		draft.Variety, f = readName(cell)
	case columnStock:
		draft.Stock, f = readName(cell)
	case columnGrafts:
		draft.Grafts, f = readNumber(cell)
	case columnSource:
		draft.Source, f = readText(cell)
	case columnGrafter:
		draft.Grafter, f = readText(cell)
	case columnNote:
		draft.Note, f = readText(cell)
	case columnTray:
		if !isEmpty(cell) {
			draft.TraySize, f = readNumber(cell)
		}
	case columnStem:
		if !isEmpty(cell) {
			draft.Stem, f = readDiameter(cell)
		}
	case columnWrap:
		if !isEmpty(cell) {
			draft.Wrap, f = readWrap(cell)
		}
	}
	return f
}

// readDate reads a date; an empty cell means the default, if there is one.
func readDate(cell string, otherwise time.Time) (time.Time, *fault) {
	text := tidy(cell)
	if text == "" && !otherwise.IsZero() {
		return otherwise, nil
	}
	if !dateShape(text) {
		return time.Time{}, &fault{quote(cell), expectedDate}
	}
	date, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, &fault{quote(cell), expectedDay}
	}
	if _, err := codes.New(date, 1); err != nil {
		return time.Time{}, &fault{quote(cell), expectedYears}
	}
	return date, nil
}

// dateShape reports whether s is four digits, two and two with hyphens
// between.
func dateShape(s string) bool {
	if len(s) != len(time.DateOnly) {
		return false
	}
	for i := range len(s) {
		hyphen := i == 4 || i == 7
		if hyphen != (s[i] == '-') || !hyphen && (s[i] < '0' || s[i] > '9') {
			return false
		}
	}
	return true
}

// readNumber reads a whole number from 1 to codes.MaxStem written in digits
// alone, without a sign, a leading zero or a thousands separator.
func readNumber(cell string) (int, *fault) {
	text := tidy(cell)
	number := 0
	valid := len(text) >= 1 && len(text) <= 4 && text[0] != '0'
	for i := 0; valid && i < len(text); i++ {
		valid = text[i] >= '0' && text[i] <= '9'
		number = 10*number + int(text[i]-'0')
	}
	if !valid || number > codes.MaxStem {
		return 0, &fault{quote(cell), expectedNumber}
	}
	return number, nil
}

func readDiameter(cell string) (float64, *fault) {
	mm, err := layouts.ParseLength(tidy(cell))
	if err != nil {
		return 0, &fault{quote(cell), expectedLength}
	}
	if !records.IsStem(mm) {
		return 0, &fault{quote(cell), expectedStem}
	}
	return mm, nil
}

func readWrap(cell string) (layouts.Wrap, *fault) {
	wrap, err := layouts.ParseWrap(tidy(cell))
	if err != nil {
		return 0, &fault{quote(cell), expectedWrap}
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
		fmt.Sprintf(`"%d"`, draft.TraySize),
		fmt.Sprintf("at least %d for %d grafts: a batch has at most %d trays", least, draft.Grafts, codes.MaxTray),
	}
}

// readName reads a variety or stock.
func readName(cell string) (string, *fault) {
	name := hybrids(unquote(tidy(cell)))
	if f := textFault(cell, name, records.MaxName); f != nil {
		return "", f
	}
	if name == "" {
		return "", &fault{quote(cell), "a name"}
	}
	return name, nil
}

// readText reads a source, grafter or note, which may be empty.
func readText(cell string) (string, *fault) {
	text := tidy(cell)
	return text, textFault(cell, text, records.MaxText)
}

// textFault returns what is wrong with a text that was read from a cell.
func textFault(cell, text string, most int) *fault {
	if !utf8.ValidString(cell) {
		return &fault{quote(cell), expectedUTF8}
	}
	for _, r := range text {
		if reason := characterFault(r); reason != "" {
			return &fault{quote(cell), fmt.Sprintf("%s (not %U)", reason, r)}
		}
	}
	if count := utf8.RuneCountInString(text); count > most {
		return &fault{quote(cell), fmt.Sprintf("at most %d characters (these are %d)", most, count)}
	}
	return nil
}
