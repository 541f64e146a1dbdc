package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/plan/forecast"
)

func TestDays(t *testing.T) {
	took := func(variety, stock string, days ...int) (all []forecast.Outcome) {
		for _, d := range days {
			all = append(all, forecast.Outcome{Variety: variety, Stock: stock, Grafts: 10, Finished: 5, Days: d})
		}
		return all
	}
	add := func(lists ...[]forecast.Outcome) (all []forecast.Outcome) {
		for _, list := range lists {
			all = append(all, list...)
		}
		return all
	}
	open := func(stock string, days ...int) (all []forecast.Outcome) {
		for _, d := range days {
			all = append(all, forecast.Outcome{Variety: "ada", Stock: stock, Grafts: 10, Days: d, Open: true})
		}
		return all
	}
	guess := forecast.Wait{High: 84, Basis: "a guess: fewer than 3 batches with known days"}
	for _, test := range []struct {
		reason   string
		outcomes []forecast.Outcome
		open     []forecast.Outcome
		want     forecast.Wait
	}{
		{"nothing known", nil, nil, guess},
		{"too few, or without days", add(took("Ada", "Fen", 90, 0, 91), took("Bo", "Moor", 0)), open("Fen", 50, 60), guess},
		{"the pair, whatever the letters", add(took("ADA", "fen", 90, 70), took("Ada", "FEN", 80), took("Bo", "Fen", 10, 10, 10)), nil, forecast.Wait{High: 90, Basis: "3 batches of this pair"}},
		{"its stock before its variety", add(took("Ada", "Fen", 60), took("Bo", "Fen", 100, 110), took("Ada", "Moor", 30, 30, 30)), nil, forecast.Wait{High: 110, Basis: "3 batches of this stock"}},
		{"its variety before all", add(took("Ada", "Moor", 30, 40, 50), took("Bo", "Moor", 99, 99)), nil, forecast.Wait{High: 50, Basis: "3 batches of this variety"}},
		{"all", add(took("Bo", "Moor", 70, 71), took("Cy", "Heath", 72)), nil, forecast.Wait{High: 72, Basis: "3 batches of all"}},
		{"nine of ten", took("Ada", "Fen", 10, 1, 9, 2, 8, 3, 7, 4, 6, 5), nil, forecast.Wait{High: 9, Basis: "10 batches of this pair"}},
		{"nine of ten of eleven are ten", took("Ada", "Fen", 11, 10, 1, 9, 2, 8, 3, 7, 4, 6, 5), nil, forecast.Wait{High: 10, Basis: "11 batches of this pair"}},
		{"younger than the fastest: they say nothing yet", took("Ada", "Fen", 70, 72, 74), open("Fen", 30, 69), forecast.Wait{High: 74, Basis: "5 batches of this pair, 2 not finished yet"}},
		{"of another pair", took("Ada", "Fen", 70, 72, 74), open("Moor", 99), forecast.Wait{High: 74, Basis: "3 batches of this pair"}},
		{"older than all that finished: as long as they stand", took("Ada", "Fen", 70, 72, 74), open("Fen", 80, 91, 85), forecast.Wait{High: 91, Least: true, Basis: "6 batches of this pair, 3 not finished yet"}},
		// Of 12, 10 are finished after 10 days; after the open ones of 20 days are gone,
		// the 1 of 30 is all that is left, so that all are finished by then.
		{"those that stand leave the count at their age", took("Ada", "Fen", 10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 30), open("Fen", 20), forecast.Wait{High: 30, Basis: "12 batches of this pair, 1 not finished yet"}},
		{"on the day on which others finish it may still come", took("Ada", "Fen", 10, 10, 10), open("Fen", 10), forecast.Wait{High: 10, Least: true, Basis: "4 batches of this pair, 1 not finished yet"}},
	} {
		require.Equal(t, test.want, forecast.Days(add(test.outcomes, test.open), "Ada", "Fen"), test.reason)
	}
}

// What is not finished is open until today, or until nothing was heard of it for so
// long that it may have been finished.
func TestOpen(t *testing.T) {
	for _, test := range []struct {
		reason  string
		today   int
		entries []seen
		want    int // days; 0 for not open
	}{
		{"nothing entered", 50, nil, 50},
		{"nothing entered for more than 60 days", 90, nil, 60},
		{"a look since", 90, []seen{{day: 35, counts: alive(8)}}, 90},
		{"the last look was long ago", 300, []seen{{day: 35, counts: alive(8)}}, 95},
		{"finished", 90, []seen{{day: 80, counts: alive(8), moves: unwrapped()}}, 0},
		{"lost", 90, []seen{{day: 80, counts: dead(10)}}, 0},
		{"no graft was made", 50, []seen{{day: 1, moves: records.Moves{Unused: 10}}}, 0},
		{"grafted today", 0, nil, 0},
		{"to be grafted", -3, nil, 0},
	} {
		days := 0
		for _, o := range forecast.Outcomes([]records.History{history(t, batchOf(t, 1, 10, 0), test.entries...)}, records.Calendar{}, after(test.today)) {
			if o.Open {
				require.Equal(t, [2]string{"Ada Lantern", "Fen Hedge"}, [2]string{o.Variety, o.Stock})
				require.Equal(t, 10, o.Grafts)
				days = o.Days
			}
		}
		require.Equal(t, test.want, days, test.reason)
	}
}

// Of a pool that is grafted on one day the days are not learned from the fast ones:
// while the last are open, LATEST is no day too late by more than these will tell.
func TestDaysOfAPoolPartlyOpen(t *testing.T) {
	var histories []records.History
	for i := range 20 { // finished on the days 70, 72 and so on to 108
		histories = append(histories, history(t, batchOf(t, 1+i, 10, 0), seen{day: 40, counts: alive(7)}, seen{day: 70 + 2*i, moves: unwrapped()}))
	}
	high := func(today int) int {
		var now []records.History
		for i, c := range histories {
			if 70+2*i > today {
				c = history(t, c.Batch, seen{day: 40, counts: alive(7)})
			}
			now = append(now, c)
		}
		return forecast.Days(forecast.Outcomes(now, records.Calendar{}, after(today)), "Ada Lantern", "Fen Hedge").High
	}
	require.Equal(t, 104, high(120), "all are finished")
	require.Equal(t, 75, high(75), "three are: 74 by themselves, and no sooner than today with the others")
	require.Equal(t, 99, high(99))
	require.Equal(t, 104, high(106), "as soon as nine of ten are finished it stands")
}

// While part of a pool is open, takes lean by what is lost of it, and no more.
func TestTakesOfAPoolPartlyOpen(t *testing.T) {
	take := func(today int) float64 {
		var histories []records.History
		for i := range 20 {
			entries := []seen{{day: 40, counts: alive(7)}}
			if i%10 == 0 {
				entries = []seen{{day: 40, counts: dead(10)}}
			} else if 70+2*i <= today {
				entries = append(entries, seen{day: 70 + 2*i, moves: unwrapped()})
			}
			histories = append(histories, history(t, batchOf(t, 1+i, 10, 0), entries...))
		}
		grafts, finished := 0, 0
		for _, g := range forecast.Groups(forecast.Outcomes(histories, records.Calendar{}, after(today)), forecast.ByPair) {
			grafts, finished = grafts+g.Grafts, finished+g.Finished
		}
		return float64(finished) / float64(max(1, grafts))
	}
	require.Zero(t, take(60), "nothing is known")
	require.InDelta(t, 0.7, take(90), 1e-9, "the lost are not learned from")
	require.InDelta(t, 0.63, take(110), 1e-9, "they are, as soon as nine of ten are finished")
}
