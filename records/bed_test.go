package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// onBench is a batch of a day with entries.
func onBench(t *testing.T, grafted time.Time, number, grafts, traySize int, variety, stock string, lines ...line) records.History {
	t.Helper()
	code, err := codes.New(grafted, number)
	require.NoError(t, err)
	return entered(t, records.Batch{Code: code, Draft: records.Draft{Date: grafted, Grafts: grafts, TraySize: traySize, Variety: variety, Stock: stock}}, lines...)
}

// bedded is what is of interest of a tray in the bed.
type bedded struct {
	unit  string
	days  int
	until string
	basis string
}

func bedOf(all []records.BedTray) []bedded {
	var found []bedded
	for _, b := range all {
		found = append(found, bedded{b.Unit.String(), b.Days, b.Until.Format(time.DateOnly), b.Basis})
	}
	return found
}

const (
	guess  = "a guess: two checks after the first"
	longer = "longer under mist than others: after one more check"
)

func TestBed(t *testing.T) {
	start := day(2026, time.March, 1)
	older := onBench(t, start, 1, 30, 10, "Grey Lantern", "Low Sorrel", out(-1, 30), grew(-2, 38, 0), grew(-3, 40, 9))
	one := onBench(t, start.AddDate(0, 0, 20), 1, 8, 0, "Ember Fold", "Low Sorrel")
	coming := onBench(t, start.AddDate(0, 0, 50), 1, 40, 20, "Ember Fold", "Low Sorrel")
	lost := onBench(t, start, 2, 8, 0, "Ember Fold", "Low Sorrel", line{part: 0, day: 9, Counts: alive(0)})
	histories := []records.History{coming, one, lost, older}
	today := start.AddDate(0, 0, 41).Add(15 * time.Hour)
	require.Equal(t, []bedded{
		{older.Units()[1].String(), 41, "2026-04-15", longer},
		{older.Units()[2].String(), 41, "2026-04-11", "new growth on 9 of 10, more than half"},
		{trayOf(t, one.Batch, 1).String(), 21, "2026-04-25", guess},
	}, bedOf(records.Bed(histories, records.Calendar{}, today)), "the oldest first, without those out of mist, lost or to come")
	require.Equal(t, []bedded{
		{coming.Units()[0].String(), -9, "2026-05-25", guess},
		{coming.Units()[1].String(), -9, "2026-05-25", guess},
	}, bedOf(records.ToCome(histories, records.Calendar{}, today)))
	require.Equal(t, 20, records.ToCome(histories, records.Calendar{}, today)[0].Tally.Alive)
}

// How long a tray stands under mist is known from others of its pair, else of its
// stock, else from all, once there are three.
func TestUntilWhenATrayStandsInTheBed(t *testing.T) {
	start := day(2026, time.March, 1)
	took := func(number, days int, variety, stock string) records.History {
		return onBench(t, start, number, 5, 0, variety, stock, out(0, days))
	}
	ofPair := []records.History{took(1, 28, "grey lantern", "LOW sorrel"), took(2, 26, "Grey Lantern", "Low Sorrel"), took(3, 44, "Grey Lantern", "Low Sorrel")}
	ofStock := []records.History{took(4, 31, "Ember Fold", "Low Sorrel"), took(5, 32, "Ember Fold", "Low Sorrel"), took(6, 33, "Tin Moon", "Low Sorrel")}
	// Entered only once they were seen in a state that they have only outside.
	onlyLater := []records.History{
		onBench(t, start, 10, 5, 0, "Grey Lantern", "Low Sorrel", unwrapped(0, 90)), onBench(t, start, 11, 5, 0, "Grey Lantern", "Low Sorrel", flushed(0, 80)),
		onBench(t, start, 12, 5, 0, "Grey Lantern", "Low Sorrel", line{part: 0, day: 90, Moves: records.Moves{OutOfMist: true, TieRemoved: true}}),
		onBench(t, start, 13, 5, 0, "Grey Lantern", "Low Sorrel", flushed(0, 80), out(0, 85)),
	}
	thenGrown := onBench(t, start, 14, 5, 0, "Grey Lantern", "Low Sorrel", out(0, 29), flushed(0, 80), unwrapped(0, 90))
	others := []records.History{took(7, 40, "Tin Moon", "Tall Sorrel"), took(8, 41, "Tin Moon", "Tall Sorrel"), took(9, 42, "Tin Moon", "Tall Sorrel")}
	quick := []records.History{took(1, 15, "Grey Lantern", "Low Sorrel"), took(2, 15, "Grey Lantern", "Low Sorrel"), took(3, 15, "Grey Lantern", "Low Sorrel")}
	for _, row := range []struct {
		reason  string
		before  []records.History
		lines   []line
		today   int // day from grafting
		until   int
		because string
	}{
		{"none before it", nil, nil, 10, 35, guess},
		{"two are not enough", ofPair[:2], nil, 10, 35, guess},
		{"three of the pair: half took so long", ofPair, nil, 10, 28, "half of 3 trays of this pair took 28 days or less"},
		{"the pair before the stock", append(ofPair, ofStock...), nil, 10, 28, "half of 3 trays of this pair took 28 days or less"},
		{"three of the stock", append(ofPair[:2:2], ofStock[0]), nil, 10, 28, "half of 3 trays on this stock took 28 days or less"},
		{"three of all", others, nil, 10, 41, "half of all 3 trays took 41 days or less"},
		{"those that were only flushed or unwrapped say nothing of the mist", onlyLater, nil, 10, 35, guess},
		{"nor do they beside others", append(onlyLater[:4:4], append(ofPair[:2:2], thenGrown)...), nil, 10, 28, "half of 3 trays of this pair took 28 days or less"},
		{"on the last day before it", ofPair, nil, 27, 28, "half of 3 trays of this pair took 28 days or less"},
		{"on the day", ofPair, nil, 28, 28, "half of 3 trays of this pair took 28 days or less"},
		{"a day later: it is to be looked at, and stands longer", ofPair, nil, 29, 36, longer},
		{"looked at yesterday, not again before", ofPair, []line{grew(0, 28, 0)}, 29, 35, longer},
		{"looked at just before the day, not again before", ofPair, []line{grew(0, 25, 0)}, 26, 32, "not before the next check"},
		{"a count of the living is no look", ofPair, []line{{part: 0, day: 25, Counts: alive(9)}}, 26, 28, "half of 3 trays of this pair took 28 days or less"},
		{"others were out before it is to be looked at", quick, nil, 10, 21, "not before the next check"},
		{"most grow: today", ofPair, []line{grew(0, 22, 9)}, 24, 24, "new growth on 9 of 10, more than half"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			c := onBench(t, start.AddDate(0, 0, 60), 1, 10, 0, "Grey Lantern", "Low Sorrel", row.lines...)
			all := records.Bed(append([]records.History{c}, row.before...), records.Calendar{}, c.Batch.Date.AddDate(0, 0, row.today))
			require.Len(t, all, 1)
			require.Equal(t, c.Batch.Date.AddDate(0, 0, row.until), all[0].Until)
			require.Equal(t, row.because, all[0].Basis)
			require.False(t, all[0].Until.Before(c.Batch.Date.AddDate(0, 0, row.today)), "nothing leaves in the past")
		})
	}
}

func TestForecast(t *testing.T) {
	at := func(d int) time.Time { return day(2026, time.May, d) }
	tray := func(grafted, until, alive int) records.BedTray {
		return records.BedTray{Batch: records.Batch{Draft: records.Draft{Date: at(grafted)}}, Until: at(until), Tally: records.Tally{Alive: alive}}
	}
	standing := []records.BedTray{tray(1, 20, 10), tray(1, 12, 7), tray(2, 20, 5)}
	toCome := []records.BedTray{tray(12, 20, 30), tray(15, 28, 30)}
	require.Equal(t, []records.BedDay{
		{Day: at(12), Leaving: 1, Arriving: 1, Trays: 3, Stems: 45},
		{Day: at(15), Arriving: 1, Trays: 4, Stems: 75},
		{Day: at(20), Leaving: 3, Trays: 1, Stems: 30},
		{Day: at(28), Leaving: 1},
	}, records.BedForecast(standing, toCome))
	require.Empty(t, records.BedForecast(nil, nil))
}
