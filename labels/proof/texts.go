package proof

import (
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/labels"
	"graftslip/records"
)

// statement is what a label or card says beside its names and its code.
type statement struct {
	what     string   // it tells
	wordings []string // of which one must stand in print
	caveat   string   // what to do where the settings may have changed; may be empty
}

// statements are those on the label or card of a record.
func (c Check) statements(record records.Record) []statement {
	batch, number := record.Batch, record.Code.Number()
	// dated is a wording with the date in each form.
	dated := func(date time.Time, wording func(date string) string) []string {
		var all []string
		for _, form := range records.DateForms() {
			all = append(all, wording(form.Format(date)))
		}
		return all
	}
	grafted := statement{what: "graft date", wordings: dated(batch.Date, func(date string) string { return date })}
	switch record.Code.Kind() {
	case codes.Stem:
		return []statement{grafted, {what: "number", wordings: []string{labels.CountWords(batch, number)}}}
	case codes.Tray:
		tray, stems := labels.TrayWords(batch, number)
		return []statement{
			{what: "graft date", wordings: dated(batch.Date, func(date string) string { return labels.GraftedWords(date, batch) })},
			{what: "tray", wordings: []string{tray}},
			{what: "contents", wordings: []string{stems}},
			{what: "date of the first check", wordings: dated(c.Calendar.LookFrom(batch), labels.LookWords),
				caveat: "if [days] has changed since it was printed, print it again or restore [days]"},
		}
	}
	return []statement{grafted, {what: "mark", wordings: []string{labels.SpareWord}}}
}

// compact is a text without white space, in which it may differ where a line
// was broken, and with ligatures taken apart, as readers of PDF do.
func compact(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, norm.NFKC.String(text))
}

// printedCodes returns the codes that stand in print, in order. A code may be
// broken into two texts behind the batch, where the break stands for the
// hyphen.
func printedCodes(texts []string) []codes.Code {
	shape := regexp.MustCompile(`\b([0-9]{5}-[0-9]{3})[-\n]([0-9]{4}-[0-9]{2})\b`)
	var printed []codes.Code
	for _, parts := range shape.FindAllStringSubmatch(strings.Join(texts, "\n"), -1) {
		if code, err := codes.Parse(parts[1] + "-" + parts[2]); err == nil {
			printed = append(printed, code)
		}
	}
	return printed
}

// stands reports whether a name stands in print: as one text or several that
// follow each other and hold nothing else, but for the bar between scion and
// rootstock.
func stands(name string, texts []string) bool {
	name = compact(name)
	for first := range texts {
		rest := name
		for i, text := range texts[first:] {
			text = compact(text)
			if i == 0 && !strings.HasPrefix(rest, "/") {
				text = strings.TrimPrefix(text, "/")
			}
			var follows bool
			if rest, follows = strings.CutPrefix(rest, text); !follows {
				break
			}
			if rest == "" {
				return true
			}
		}
	}
	return false
}

// contains reports whether words stand in print, among others or broken into lines.
// They must be whole: 3 of 9 does not stand in 13 of 9, nor in 3 of 90.
func contains(texts []string, words string) bool {
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
		if !joinsWord(before, beyond) && !joinsWord(after, further) {
			return true
		}
		_, size := utf8.DecodeRuneInString(print[at:])
		if from = at + size; size == 0 {
			return false
		}
	}
}

// joinsWord reports whether a character belongs to the word beside it. A sign does
// when there is more of the word beyond it: 3-4, 3.4.
func joinsWord(r, beyond rune) bool {
	inWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }
	return inWord(r) || r != utf8.RuneError && !unicode.IsSpace(r) && inWord(beyond)
}

// spaced is a text with one space for all white space, and with ligatures taken
// apart, as readers of PDF do.
func spaced(text string) string { return strings.Join(strings.Fields(norm.NFKC.String(text)), " ") }
