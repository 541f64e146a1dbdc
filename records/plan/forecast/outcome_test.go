package forecast_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// grafted is the day of grafting, and after some days later.
func grafted() time.Time { return time.Date(2026, time.March, 2, 0, 0, 0, 0, time.UTC) }

func after(days int) time.Time { return grafted().AddDate(0, 0, days).Add(15 * time.Hour) }

func batchOf(t *testing.T, number, grafts, traySize int) records.Batch {
	code, err := codes.New(grafted(), number)
	require.NoError(t, err)
	return records.Batch{Code: code, Draft: records.Draft{
		Date: grafted(), Variety: "Ada Lantern", Stock: "Fen Hedge", Grafts: grafts, TraySize: traySize, Grafter: "Runa", Wrap: layouts.Loop,
	}}
}

// seen is an entry about a tray, or about the batch where the tray is 0.
type seen struct {
	day, tray, stem int
	counts          records.Counts
	moves           records.Moves
	corrects        int
}

func history(t *testing.T, b records.Batch, entries ...seen) records.History {
	var kept []records.Entry
	for i, s := range entries {
		unit, err := b.Code, error(nil)
		switch {
		case s.stem > 0:
			unit, err = b.Code.Stem(s.stem)
		case s.tray > 0:
			unit, err = b.Code.Tray(s.tray)
		}
		require.NoError(t, err)
		with, err := records.NewHistory(b, kept).With(records.Entry{At: after(s.day), Unit: unit, Counts: s.counts, Moves: s.moves, Corrects: s.corrects})
		require.NoError(t, err)
		last, _ := with.Last()
		last.Number = i + 1
		kept = append(kept, last)
	}
	return records.NewHistory(b, kept)
}

func alive(n int) records.Counts { return records.Counts{Alive: records.Said(n)} }
func dead(n int) records.Counts  { return records.Counts{Dead: records.Said(n)} }

func unwrapped() records.Moves { return records.Moves{TieRemoved: true} }

// closed are the outcomes that are known.
func closed(outcomes []forecast.Outcome) []forecast.Outcome {
	return slices.DeleteFunc(outcomes, func(o forecast.Outcome) bool { return o.Open })
}

func TestOutcomes(t *testing.T) {
	const today = 120
	known := func(grafts, finished, days int, uncounted bool) *forecast.Outcome {
		return &forecast.Outcome{Grafts: grafts, Finished: finished, Days: days, Uncounted: uncounted}
	}
	for _, test := range []struct {
		reason           string
		grafts, traySize int
		entries          []seen
		want             *forecast.Outcome
	}{
		{"counted and unwrapped", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 90, moves: unwrapped()}}, known(20, 14, 90, false)},
		{"the dead counted", 20, 0, []seen{{day: 90, counts: dead(6), moves: unwrapped()}}, known(20, 14, 90, false)},
		{"unused labels are no grafts", 20, 0, []seen{{day: 30, counts: alive(14), moves: records.Moves{Unused: 2}}, {day: 91, moves: unwrapped()}}, known(18, 14, 91, false)},
		{"what was culled on the day of unwrapping is not finished", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 90, moves: records.Moves{TieRemoved: true, Culled: 2}}}, known(20, 12, 90, false)},
		{"what is sold, planted or culled later was finished", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 90, moves: unwrapped()},
			{day: 95, moves: records.Moves{Sold: 5, Planted: 3, Culled: 2}}}, known(20, 14, 90, false)},
		{"what dies later was finished", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 90, moves: unwrapped()}, {day: 118, counts: alive(1)}}, known(20, 14, 90, false)},
		{"all culled later", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 90, moves: unwrapped()}, {day: 100, moves: records.Moves{Culled: 14}}}, known(20, 14, 90, false)},
		{"first counted after the unwrapping", 20, 0, []seen{{day: 90, moves: unwrapped()}, {day: 92, counts: alive(14)}, {day: 100, counts: alive(3)}}, known(20, 14, 90, false)},
		{"never counted, and all sold or culled", 20, 0, []seen{{day: 90, moves: unwrapped()}, {day: 92, moves: records.Moves{Sold: 12}}, {day: 93, moves: records.Moves{Culled: 8}}}, known(20, 12, 90, false)},
		{"unused labels that were entered late", 20, 0, []seen{{day: 30, counts: dead(4)}, {day: 90, moves: unwrapped()}, {day: 100, moves: records.Moves{Unused: 2}}}, known(18, 14, 90, false)},
		{"sold out in the wrap: by then", 20, 0, []seen{{day: 40, counts: alive(6)}, {day: 70, moves: records.Moves{Sold: 4}}, {day: 80, counts: dead(16)}}, known(20, 4, 0, false)},
		{"each tray on its own day", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 80, tray: 1, moves: unwrapped()}, {day: 85, tray: 1, counts: alive(2)},
			{day: 86, tray: 2, counts: alive(5)}, {day: 99, tray: 2, moves: unwrapped()}, {day: 110, tray: 2, moves: records.Moves{Culled: 5}}}, known(20, 13, 99, false)},
		{"a stem that died after its tray was unwrapped", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 80, tray: 1, moves: unwrapped()}, {day: 95, stem: 3, counts: dead(1)},
			{day: 98, stem: 4, counts: dead(1)}, {day: 99, stem: 5, counts: dead(1)},
			{day: 86, tray: 2, counts: alive(5)}, {day: 99, tray: 2, moves: unwrapped()}}, known(20, 13, 99, false)},
		{"nothing entered", 20, 0, nil, nil},
		{"still wrapped", 20, 0, []seen{{day: 30, counts: alive(14), moves: records.Moves{OutOfMist: true}}}, nil},
		{"lost", 20, 0, []seen{{day: 40, counts: dead(20)}}, known(20, 0, 0, false)},
		{"sold in the wrap: no days", 20, 0, []seen{{day: 40, counts: alive(6)}, {day: 70, moves: records.Moves{Sold: 6}}}, known(20, 6, 0, false)},
		{"no graft was made", 20, 0, []seen{{day: 1, moves: records.Moves{Unused: 20}}}, nil},
		{"one tray of two", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, tray: 1, moves: unwrapped()}}, nil},
		{"two trays, the later day", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, tray: 1, moves: unwrapped()},
			{day: 31, tray: 2, counts: alive(5)}, {day: 99, tray: 2, moves: unwrapped()}}, known(20, 13, 99, false)},
		{"one tray lost", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, tray: 1, moves: unwrapped()}, {day: 31, tray: 2, counts: dead(10)}}, known(20, 8, 90, false)},
		{"the later tray sold out since", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, tray: 1, moves: unwrapped()},
			{day: 31, tray: 2, counts: alive(5)}, {day: 99, tray: 2, moves: unwrapped()}, {day: 101, tray: 2, moves: records.Moves{Sold: 5}}}, known(20, 13, 99, false)},
		{"the other tray sold in its wrap: no days", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, tray: 1, moves: unwrapped()},
			{day: 31, tray: 2, counts: alive(5)}, {day: 70, tray: 2, moves: records.Moves{Sold: 5}}}, known(20, 13, 0, false)},
		{"the batch unwrapped as a whole", 20, 10, []seen{{day: 30, counts: alive(13)}, {day: 92, moves: unwrapped()}}, known(20, 13, 92, false)},
		{"never counted", 20, 0, []seen{{day: 90, moves: unwrapped()}}, known(20, 20, 90, true)},
		{"one stem is no count", 20, 0, []seen{{day: 30, stem: 3, counts: dead(1)}, {day: 90, moves: unwrapped()}}, known(20, 19, 90, true)},
		{"one tray never counted", 20, 10, []seen{{day: 30, tray: 1, counts: alive(8)}, {day: 90, moves: unwrapped()}}, known(20, 18, 90, true)},
		{"the count was withdrawn", 20, 0, []seen{{day: 30, counts: alive(14)}, {day: 31, corrects: 1}, {day: 90, moves: unwrapped()}}, known(20, 20, 90, true)},
	} {
		b := batchOf(t, 1, test.grafts, test.traySize)
		outcomes := closed(forecast.Outcomes([]records.History{history(t, b, test.entries...)}, records.Calendar{}, after(today)))
		if test.want == nil {
			require.Empty(t, outcomes, test.reason)
			continue
		}
		test.want.Batch, test.want.Variety, test.want.Stock = b.Code, "Ada Lantern", "Fen Hedge"
		test.want.Grafter, test.want.Wrap, test.want.Date = "Runa", layouts.Loop, grafted()
		require.Equal(t, []forecast.Outcome{*test.want}, outcomes, test.reason)
	}
}

func TestOutcomesKeepTheOrderAndTheDay(t *testing.T) {
	first := history(t, batchOf(t, 1, 10, 0), seen{day: 90, counts: alive(7), moves: unwrapped()})
	second := history(t, batchOf(t, 2, 10, 0))
	third := history(t, batchOf(t, 3, 10, 0), seen{day: 60, counts: dead(10)})
	all := forecast.Outcomes([]records.History{third, second, first}, records.Calendar{}, after(100))
	require.Len(t, all, 3)
	require.Equal(t, 10, all[1].Grafts)
	outcomes := closed(all)
	require.Len(t, outcomes, 2)
	require.Equal(t, third.Batch.Code, outcomes[0].Batch)
	require.Equal(t, first.Batch.Code, outcomes[1].Batch)
	require.Empty(t, closed(forecast.Outcomes([]records.History{first}, records.Calendar{}, after(-1))), "before the grafting")
}

// A batch that is lost early is not learned from until such a batch could have been
// finished: 84 days by the usual guess, or as long as nine of ten of the pair took.
func TestLostBatchesAreLearnedFromInTheirTime(t *testing.T) {
	lost := history(t, batchOf(t, 1, 10, 0), seen{day: 30, counts: dead(10)})
	early := func(today int, histories ...records.History) bool {
		outcomes := forecast.Outcomes(append([]records.History{lost}, histories...), records.Calendar{}, after(today))
		require.Zero(t, outcomes[0].Finished)
		for _, other := range outcomes[1:] {
			require.False(t, other.Early)
		}
		return outcomes[0].Early
	}
	require.True(t, early(83))
	require.False(t, early(84))
	var others []records.History
	for n, days := range []int{50, 60, 55} {
		others = append(others, history(t, batchOf(t, 2+n, 10, 0), seen{day: days, counts: alive(7), moves: unwrapped()}))
	}
	require.True(t, early(59, others[0], others[2]), "two batches are too few to tell")
	require.True(t, early(83, others[0], others[2]))
	require.False(t, early(83, others...))

	_, basis := forecast.Learn([]forecast.Outcome{{Grafts: 10, Finished: 7}, {Grafts: 10, Early: true}}).Take("", "")
	require.Equal(t, 1, basis.All)
}
