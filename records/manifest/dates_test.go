package manifest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest/sheet"
)

// Each form of a date, with its day if the day, the month or the year is first; "-" if
// none.
func TestWrittenDates(t *testing.T) {
	for _, row := range []struct{ reason, text, day, month, year string }{
		{"ISO 8601", "2026-12-01", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"a four-digit year comes first with any separator", "2026/12/1", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"with dots too", "2026.12.01", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"with dots, the day comes first", "01.12.2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"short, with spaces", "1. 12. 26", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"slashes leave the choice", "12/1/2026", "2026-01-12", "2026-12-01", "-"},
		{"hyphens too", "12-1-2026", "2026-01-12", "2026-12-01", "-"},
		{"a day that is no month", "25/11/2026", "2026-11-25", "-", "-"},
		{"a day that is no month, after the month", "11/25/2026", "-", "2026-11-25", "-"},
		{"two digits may be a year at either end", "25/11/26", "2026-11-25", "-", "2025-11-26"},
		{"no graft is as old as 2001", "01/12/26", "2026-12-01", "2026-01-12", "-"},
		{"the year first alone", "26/12/01", "-", "-", "2026-12-01"},
		{"31 November", "11/31/2026", "-", "-", "-"},
		{"29 February of a common year", "29/2/2027", "-", "-", "-"},
		{"English", "1 Dec 2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"a spreadsheet's own form", "1-Dec-26", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"the month first by name", "Dec 1, 2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"the month first in full", "december 1 2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"a dot after the month", "Sept. 1, 2026", "2026-09-01", "2026-09-01", "2026-09-01"},
		{"German", "1. Dezember 2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"German, abbreviated", "1. Dez. 26", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"without spaces", "1.Dez.2026", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"an umlaut", "1. März 2026", "2026-03-01", "2026-03-01", "2026-03-01"},
		{"an umlaut, abbreviated", "1. MÄR 2026", "2026-03-01", "2026-03-01", "2026-03-01"},
		{"Austrian", "1. Jänner 2026", "2026-01-01", "2026-01-01", "2026-01-01"},
		{"the year before a name", "2026 Mai 3", "2026-05-03", "2026-05-03", "2026-05-03"},
		{"June and July", "3 Jul 2026", "2026-07-03", "2026-07-03", "2026-07-03"},
		{"the time of day is dropped", "12/1/2026 0:00", "2026-01-12", "2026-12-01", "-"},
		{"a time that is not midnight too", "2026-12-01T14:30:00", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"twelve hours", "2026-12-01 2:30 PM", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"white space of any kind", " 1.\u00a0Dez\u202f2026 ", "2026-12-01", "2026-12-01", "2026-12-01"},
		{"two separators", "1/12-2026", "", "", ""},
		{"a year of three digits", "1.12.126", "", "", ""},
		{"no year", "1.12.", "", "", ""},
		{"a month that does not exist", "1 Foo 2026", "", "", ""},
		{"a month of two letters", "1 De 2026", "", "", ""},
		{"a zone, in which the day may be another", "2026-12-01T23:00:00Z", "", "", ""},
		{"a bare number", "26329", "", "", ""},
	} {
		w, ok := parseWritten(row.text)
		require.Equal(t, row.day != "", ok, row.reason)
		for order, want := range map[DateOrder]string{DayFirst: row.day, MonthFirst: row.month, YearFirst: row.year} {
			if got := w[order]; want == "-" || !ok {
				require.Zero(t, got, "%s, %v", row.reason, order)
			} else {
				require.Equal(t, want, got.Format(time.DateOnly), "%s, %v", row.reason, order)
			}
		}
	}
}

// All dates of a file have one order, which is never guessed.
func TestOrderOfDates(t *testing.T) {
	for _, row := range []struct {
		reason, dates, want, asked string
		given                      DateOrder
	}{
		{"one that can only be day first decides", "1/12/2026 25/11/2026", "2026-12-01 2026-11-25", "", Undecided},
		{"one that can only be month first decides", "12/1/2026 11/25/2026", "2026-12-01 2026-11-25", "", Undecided},
		{"one that can only be year first decides", "26/12/21 26/11/02", "2026-12-21 2026-11-02", "", Undecided},
		{"day and month are the same", "11/11/2026", "2026-11-11", "", Undecided},
		{"ISO decides nothing and needs no decision", "2026-12-01 25.11.2026 1-Dec-2026", "2026-12-01 2026-11-25 2026-12-01", "", Undecided},
		{"none decides", "12/1/2026 2026-11-25", "", `dates that can be read in one way only: "12/1/2026" may be 12 January 2026 or 1 December 2026`, Undecided},
		{"dots do not decide for slashes", "25.11.2026 12/1/2026", "", `dates that can be read in one way only: "12/1/2026" may be 12 January 2026 or 1 December 2026`, Undecided},
		{"a year at either end", "25/11/26", "", `dates that can be read in one way only: "25/11/26" may be 25 November 2026 or 26 November 2025`, Undecided},
		{"three years that are all long past", "10/11/12", "",
			`dates that can be read in one way only: "10/11/12" may be 10 November 2012, 11 October 2012 or 12 November 2010`, Undecided},
		{"they contradict each other", "1/12/2026 25/11/2026 11/26/2026", "",
			`one order in the whole column: "25/11/2026" in row 2 has the day first, "11/26/2026" in row 3 the month`, Undecided},
		{"a person has decided", "12/1/2026 12/2/2026", "2026-12-01 2026-12-02", "", MonthFirst},
		{"against a date", "25/11/2026", "", "a date with the month first, as in --dates mdy", MonthFirst},
		{"for two digits", "26/11/25", "2026-11-25", "", YearFirst},
		{"dots keep the day first", "01.12.2026", "2026-12-01", "", MonthFirst},
	} {
		t.Run(row.reason, func(t *testing.T) {
			var cells []spot
			for i, text := range strings.Fields(row.dates) {
				cells = append(cells, spot{i + 1, text, sheet.Typed})
			}
			use := &usage{dates: decideDates(cells, row.given)}
			var got []string
			asked := ""
			for _, spot := range cells {
				date, f := cell{Cell: sheet.Cell{Text: spot.text}, use: use}.date()
				if f != nil {
					asked = f.expected
					continue
				}
				got = append(got, date.Format(time.DateOnly))
			}
			require.Equal(t, row.asked, asked)
			if row.asked == "" {
				require.Equal(t, row.want, strings.Join(got, " "))
			}
		})
	}
}

// Any date read from a text, in any order, has the numbers of that text.
func FuzzDates(f *testing.F) {
	for _, seed := range []string{"2026-12-01", "1. Dez. 26", "12/1/2026 0:00", "Dec 1, 2026", "26-11-25", "1 mär 2026", "0001-01-01", "29.02.2100", "1.\u212aug.2026"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		w, ok := parseWritten(text)
		for _, order := range dateOrders() {
			if day := w[order]; !day.IsZero() {
				require.True(t, ok)
				require.Equal(t, day, day.Truncate(24*time.Hour).UTC())
				for _, part := range []int{day.Day(), day.Year() % 100} {
					require.Contains(t, text, fmt.Sprint(part%10), "a date of other digits")
				}
				again, _ := parseWritten(day.Format(time.DateOnly))
				require.Equal(t, day, again[order])
			}
		}
	})
}
