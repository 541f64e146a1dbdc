package records_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

func TestDateForms(t *testing.T) {
	for _, test := range []struct {
		reason             string
		date               time.Time
		day, week, ordinal string
	}{
		// ISO 8601:2000 5.2.2.1 and 5.2.3.1 write one day as 1985-102 and 1985-W15-5. seen
		{"the example of the standard", day(1985, time.April, 12), "1985-04-12", "1985-W15-5", "1985-102"},
		{"the day of a demo session; computed", day(2026, time.November, 25), "2026-11-25", "2026-W48-3", "2026-329"},
		// Weeks round the turn of a year, as tables of ISO 8601 weeks give them. memory
		{"a Saturday in week 53 of the year before", day(2005, time.January, 1), "2005-01-01", "2004-W53-6", "2005-001"},
		{"a Monday in week 1 of the year after", day(2007, time.December, 31), "2007-12-31", "2008-W01-1", "2007-365"},
		{"a Sunday in week 53 of the year before", day(2010, time.January, 3), "2010-01-03", "2009-W53-7", "2010-003"},
		{"the last day of a leap year; computed", day(2024, time.December, 31), "2024-12-31", "2025-W01-2", "2024-366"},
		{"29 February; computed", day(2024, time.February, 29), "2024-02-29", "2024-W09-4", "2024-060"},
		{"a Friday in the last week of the year before; computed", day(2027, time.January, 1), "2027-01-01", "2026-W53-5", "2027-001"},
		{"a Sunday is the seventh day; computed", day(2023, time.January, 1), "2023-01-01", "2022-W52-7", "2023-001"},
		{"a Monday begins the year; computed", day(2029, time.January, 1), "2029-01-01", "2029-W01-1", "2029-001"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			require.Equal(t, test.day, records.DateDay.Format(test.date))
			require.Equal(t, test.week, records.DateWeek.Format(test.date))
			require.Equal(t, test.ordinal, records.DateOrdinal.Format(test.date))
		})
	}
}

// Seven days later it is the same day of another week, and the first week of a
// year is the one with 4 January in it (ISO 8601:2000 5.2.3, by way of its
// first Thursday; computed).
func TestWeeks(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 2000 {
		date := day(2000+random.IntN(100), time.January, 1+random.IntN(366))
		week, next := records.DateWeek.Format(date), records.DateWeek.Format(date.AddDate(0, 0, 7))
		require.Equal(t, week[len(week)-1], next[len(next)-1])
		require.Less(t, week, next)
		require.Contains(t, records.DateWeek.Format(day(date.Year(), time.January, 4)), "-W01-")
	}
}

func TestParseDateForm(t *testing.T) {
	for _, form := range records.DateForms() {
		parsed, err := records.ParseDateForm(form.String())
		require.NoError(t, err)
		require.Equal(t, form, parsed)
	}
	parsed, err := records.ParseDateForm(" Week ")
	require.NoError(t, err)
	require.Equal(t, records.DateWeek, parsed)
	for _, word := range []string{"", "month", "day week", "1"} {
		_, err := records.ParseDateForm(word)
		require.EqualError(t, err, fmt.Sprintf("%q is not a date form", word))
		require.Contains(t, hintOf(err), "2026-W48-3")
	}
}
