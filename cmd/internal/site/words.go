package site

import (
	"fmt"
	"html/template"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"graftslip/codes"
	"graftslip/records"
)

// sentence is an error in one line that begins with a capital letter.
func sentence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	first, size := utf8.DecodeRuneInString(text)
	if !unicode.IsLower(first) {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// dater writes texts whose dates stay in one piece: phones break lines at hyphens.
func dater() func(text string) template.HTML {
	dates := regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)
	return func(text string) template.HTML {
		return template.HTML(dates.ReplaceAllString(template.HTMLEscapeString(text), `<span class="date">$0</span>`))
	}
}

// day writes a day as the settings say, in one piece.
func (s *Site) day(t time.Time) template.HTML {
	return template.HTML(`<span class="date">` + template.HTMLEscapeString(s.Dates.Format(t)) + `</span>`)
}

func isoDay(t time.Time) string { return t.Format(time.DateOnly) }

// unitWords say which tray or stem it is.
func unitWords(b records.Batch, unit codes.Code) string {
	switch unit.Kind() {
	case codes.Stem:
		return fmt.Sprintf("stem %d of %d", unit.Number(), b.Grafts)
	case codes.Tray:
		return fmt.Sprintf("tray %d of %d", unit.Number(), b.Trays())
	}
	return "whole batch"
}

// when says how far a day is from today, for something that is due on it.
func when(day, today time.Time) string {
	switch days := int(day.Sub(today) / (24 * time.Hour)); {
	case days == 0:
		return "today"
	case days == 1:
		return "tomorrow"
	case days > 0:
		return fmt.Sprintf("in %d days", days)
	case days == -1:
		return "1 day late"
	default:
		return fmt.Sprintf("%d days late", -days)
	}
}
