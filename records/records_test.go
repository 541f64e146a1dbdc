package records_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

func day(year int, month time.Month, day int) time.Time {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

func batch(t *testing.T, grafts, traySize int) records.Batch {
	t.Helper()
	code, err := codes.New(day(2026, time.November, 25), 4)
	require.NoError(t, err)
	return records.Batch{Code: code, Draft: records.Draft{Date: code.Date(), Grafts: grafts, TraySize: traySize}}
}

func TestTrays(t *testing.T) {
	for _, row := range []struct {
		reason           string
		grafts, traySize int
		trays            int
		tray, from, to   int
	}{
		{"no tray size: all in one", 40, 0, 1, 1, 1, 40},
		{"no tray size and one graft", 1, 0, 1, 1, 1, 1},
		{"the tray holds more than there are", 40, 50, 1, 1, 1, 40},
		{"exactly one tray", 50, 50, 1, 1, 1, 50},
		{"one graft more than a tray", 51, 50, 2, 2, 51, 51},
		{"a middle tray is full", 60, 25, 3, 2, 26, 50},
		{"the last tray holds the rest", 60, 25, 3, 3, 51, 60},
		{"a tray for each graft", 3, 1, 3, 3, 3, 3},
		{"the most stems there can be", 8999, 9999, 1, 1, 1, 8999},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, row.grafts, row.traySize)
			require.Equal(t, row.trays, b.Trays())
			from, to := b.StemsIn(row.tray)
			require.Equal(t, []int{row.from, row.to}, []int{from, to})
		})
	}
}

func TestOutsideTheBatch(t *testing.T) {
	b := batch(t, 60, 25)
	for _, stem := range []int{-1, 0, 61} {
		require.Zero(t, b.TrayOf(stem), "stem %d", stem)
	}
	for _, tray := range []int{-1, 0, 4} {
		from, to := b.StemsIn(tray)
		require.Equal(t, []int{0, 0}, []int{from, to}, "tray %d", tray)
	}
}

// Every stem stands in exactly one tray, the trays follow one another without
// a gap, and all but the last are full.
func TestEveryStemIsInOneTray(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		grafts := 1 + random.IntN(codes.MaxStem)
		traySize := random.IntN(grafts + 20)
		b := batch(t, grafts, traySize)
		next := 1
		for tray := 1; tray <= b.Trays(); tray++ {
			from, to := b.StemsIn(tray)
			require.Equal(t, next, from)
			require.LessOrEqual(t, from, to)
			if traySize > 0 && tray < b.Trays() {
				require.Equal(t, traySize, to-from+1)
			}
			for _, stem := range []int{from, (from + to) / 2, to} {
				require.Equal(t, tray, b.TrayOf(stem))
			}
			next = to + 1
		}
		require.Equal(t, grafts+1, next)
		if traySize > 0 {
			require.GreaterOrEqual(t, b.Trays()*traySize, grafts)
			require.Less(t, (b.Trays()-1)*traySize, grafts)
		}
	}
}

// More stems never move a stem that has a label to another tray.
func TestExtendingMovesNoStem(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		grafts := 1 + random.IntN(500)
		small := batch(t, grafts, random.IntN(100))
		large := small
		large.Grafts += random.IntN(500)
		for stem := 1; stem <= grafts; stem++ {
			require.Equal(t, small.TrayOf(stem), large.TrayOf(stem))
		}
	}
}

func TestDaysSince(t *testing.T) {
	auckland := time.FixedZone("UTC+13", 13*60*60)
	honolulu := time.FixedZone("UTC-10", -10*60*60)
	grafted := batch(t, 10, 0)
	for _, row := range []struct {
		reason string
		today  time.Time
		days   int
	}{
		{"the day itself", day(2026, time.November, 25), 0},
		{"the last second of the day", time.Date(2026, time.November, 25, 23, 59, 59, 0, time.UTC), 0},
		{"the next morning", time.Date(2026, time.November, 26, 0, 0, 1, 0, time.UTC), 1},
		{"the day before", day(2026, time.November, 24), -1},
		{"the calendar day where it is 26 November already, though not in UTC", time.Date(2026, time.November, 26, 1, 0, 0, 0, auckland), 1},
		{"the calendar day where it is still 25 November, though not in UTC", time.Date(2026, time.November, 25, 23, 0, 0, 0, honolulu), 0},
		{"over the new year", day(2027, time.January, 1), 37},
		{"a year with a leap day: 365 days to 25 November 2027 and 366 more", day(2028, time.November, 25), 731},
	} {
		t.Run(row.reason, func(t *testing.T) { require.Equal(t, row.days, grafted.DaysSince(row.today)) })
	}
}

func TestStateNames(t *testing.T) {
	names := map[records.State]string{
		0: "none", records.New: "new", records.Known: "known", records.Extended: "extended", records.Kept: "kept",
	}
	for state, name := range names {
		require.Equal(t, name, state.String())
	}
}
