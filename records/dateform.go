package records

import (
	"fmt"
	"strings"
	"time"
)

// DateForm is a way to write dates. All forms are ISO 8601, extended format.
type DateForm uint8

// The forms.
const (
	DateDay     DateForm = iota // 2026-11-25, the calendar date
	DateWeek                    // 2026-W48-3, the week date: week and day of the week, Monday first
	DateOrdinal                 // 2026-329, the ordinal date: day of the year, as in a code
)

// DateForms lists the forms, the default first.
func DateForms() []DateForm { return []DateForm{DateDay, DateWeek, DateOrdinal} }

// String returns "day", "week" or "ordinal".
func (f DateForm) String() string { return [...]string{"day", "week", "ordinal"}[f] }

// Format writes the calendar day of t in its own location. Around new year, the year of
// a week date can differ from the calendar year by one.
func (f DateForm) Format(t time.Time) string {
	switch f {
	case DateWeek:
		year, week := t.ISOWeek()
		day := (int(t.Weekday())+6)%7 + 1 // Sunday is 7
		return fmt.Sprintf("%04d-W%02d-%d", year, week, day)
	case DateOrdinal:
		return fmt.Sprintf("%04d-%03d", t.Year(), t.YearDay())
	}
	return t.Format(time.DateOnly)
}

// ParseDateForm reads the name of a form in any case. The error is a *Problem.
func ParseDateForm(s string) (DateForm, error) {
	for _, form := range DateForms() {
		if strings.EqualFold(strings.TrimSpace(s), form.String()) {
			return form, nil
		}
	}
	return 0, &Problem{Text: fmt.Sprintf("%q is not a date form", s), Advice: "use day (2026-11-25), week (2026-W48-3) or ordinal (2026-329)"}
}
