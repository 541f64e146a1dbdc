package proof

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/records"
)

// phrase is what a slip says beside its names and its code.
type phrase struct {
	what    string   // it tells
	ways    []string // to say it, of which one must stand in print
	perhaps string   // why it may not; may be empty
}

// phrases are those on the label or card of a record.
func (c Check) phrases(record records.Record) []phrase {
	batch, number, words := record.Batch, record.Code.Number(), c.Words
	switch record.Code.Kind() {
	case codes.Stem:
		return []phrase{
			{what: "graft date", ways: dated("%s", batch.Date)},
			{what: "number", ways: []string{fmt.Sprintf(words.Count, number, batch.Grafts)}},
		}
	case codes.Tray:
		from, to := batch.StemsIn(number)
		stems := fmt.Sprintf(words.Stems, from, to)
		if from == to {
			stems = fmt.Sprintf(words.Stem, from)
		}
		grafted := dated(words.Grafted, batch.Date)
		if batch.Grafter != "" {
			grafted = dated(words.GraftedBy, batch.Date, batch.Grafter)
		}
		return []phrase{
			{what: "graft date", ways: grafted},
			{what: "tray", ways: []string{fmt.Sprintf(words.Tray, number, batch.Trays())}},
			{what: "content", ways: []string{stems}},
			{what: "look-from date", ways: dated(words.LookFrom, c.Calendar.LookFrom(batch)), perhaps: "[days] of the settings may have changed since"},
		}
	}
	return []phrase{{what: "graft date", ways: dated("%s", batch.Date)}, {what: "mark", ways: []string{words.Spare}}}
}

// dated writes a date in all forms, and more behind it.
func dated(format string, date time.Time, more ...any) []string {
	var ways []string
	for _, form := range records.DateForms() {
		ways = append(ways, fmt.Sprintf(format, append([]any{form.Format(date)}, more...)...))
	}
	return ways
}

// says reports whether words stand in print, among others or broken into lines.
// They must be whole: 3 of 9 does not stand in 13 of 9, nor in 3 of 90.
func says(texts []string, words string) bool {
	print, words := spaced(strings.Join(texts, "\n")), spaced(words)
	for from := 0; ; {
		at := strings.Index(print[from:], words)
		if at < 0 {
			return false
		}
		at += from
		before, last := utf8.DecodeLastRuneInString(print[:at])
		beyond, _ := utf8.DecodeLastRuneInString(print[:at-last])
		after, first := utf8.DecodeRuneInString(print[at+len(words):])
		further, _ := utf8.DecodeRuneInString(print[at+len(words)+first:])
		if !joins(before, beyond) && !joins(after, further) {
			return true
		}
		_, size := utf8.DecodeRuneInString(print[at:])
		if from = at + size; size == 0 {
			return false
		}
	}
}

// joins reports whether a character belongs to the word beside it. A sign does
// when there is more of the word beyond it: 3-4, 3.4.
func joins(r, beyond rune) bool {
	inWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }
	return inWord(r) || r != utf8.RuneError && !unicode.IsSpace(r) && inWord(beyond)
}

// spaced is a text with one space for all white space, and with ligatures taken
// apart, as readers of PDF do.
func spaced(text string) string { return strings.Join(strings.Fields(norm.NFKC.String(text)), " ") }
