package manifest

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Rows without a date are today's only when no row has one.
func TestToday(t *testing.T) {
	today := time.Date(2026, time.November, 25, 23, 30, 0, 0, time.Local)
	for _, test := range []struct {
		reason, text string
		options      Options
		dates        []string
		faults       []string
	}{
		{"no column", "variety,stock,grafts\nAmber,Oak,3\n", Options{Today: today}, []string{"2026-11-25"}, nil},
		{"an empty column", "date,variety,stock,grafts\n,Amber,Oak,3\n,Ash,Oak,3\n", Options{Today: today}, []string{"2026-11-25", "2026-11-25"}, nil},
		{"one row forgotten", "date,variety,stock,grafts\n2026-12-01,Amber,Oak,3\n,Ash,Oak,3\n2026-12-01,Elm,Oak,no\n", Options{Today: today}, []string{"2026-12-01"},
			[]string{`m.csv row 3, date: found nothing, expected a date, since other rows have one (or --date for those without)`,
				`m.csv row 4, grafts: found "no", expected a whole number from 1 to 8999`}},
		{"one row forgotten where another's date is wrong", "date,variety,stock,grafts\n1.12,Amber,Oak,3\n,Ash,Oak,3\n", Options{Today: today}, nil,
			[]string{`m.csv row 2, date: found "1.12", expected a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026`,
				`m.csv row 3, date: found nothing, expected a date, since other rows have one (or --date for those without)`}},
		{"a date for those without", "date,variety,stock,grafts\n2026-12-01,Amber,Oak,3\n,Ash,Oak,3\n", Options{Date: time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC), Today: today},
			[]string{"2026-12-01", "2026-12-02"}, nil},
		{"a year that is typed wrongly", "date,variety,stock,grafts\n2062-11-25,Amber,Oak,3\n", Options{Today: today}, nil,
			[]string{`m.csv row 2, date: found "2062-11-25", expected a date at most a year ahead`}},
		{"a year ahead to the day", "date,variety,stock,grafts\n2027-11-25,Amber,Oak,3\n", Options{Today: today}, []string{"2027-11-25"}, nil},
	} {
		t.Run(test.reason, func(t *testing.T) {
			read, err := Read("m.csv", strings.NewReader(test.text), test.options)
			var dates, faults []string
			for _, draft := range read.Drafts {
				dates = append(dates, draft.Date.Format(time.DateOnly))
			}
			if err != nil {
				faults = strings.Split(err.Error(), "\n")
			}
			require.Equal(t, test.dates, dates)
			require.Equal(t, test.faults, faults)
		})
	}
}

func TestHybridSigns(t *testing.T) {
	for written, want := range map[string]string{
		"Rosa x alba": "Rosa × alba", "Rosa × alba": "Rosa × alba", "x Citroncirus webberi": "×Citroncirus webberi",
		"Max": "Max", "Extra x": "Extra x", "xylem": "xylem",
	} {
		require.Equal(t, want, hybrids(written))
	}
}
