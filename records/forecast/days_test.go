package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/forecast"
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
	for _, test := range []struct {
		reason   string
		outcomes []forecast.Outcome
		want     forecast.Wait
	}{
		{"nothing known", nil, forecast.Wait{Median: 84, High: 84, Basis: "a guess: fewer than 3 batches with known days"}},
		{"too few, or without days", add(took("Ada", "Fen", 90, 0, 91), took("Bo", "Moor", 0)), forecast.Wait{Median: 84, High: 84, Basis: "a guess: fewer than 3 batches with known days"}},
		{"the pair, whatever the letters", add(took("ADA", "fen", 90, 70), took("Ada", "FEN", 80), took("Bo", "Fen", 10, 10, 10)), forecast.Wait{Median: 80, High: 90, Basis: "3 batches of this pair"}},
		{"its stock before its variety", add(took("Ada", "Fen", 60), took("Bo", "Fen", 100, 110), took("Ada", "Moor", 30, 30, 30)), forecast.Wait{Median: 100, High: 110, Basis: "3 batches of this stock"}},
		{"its variety before all", add(took("Ada", "Moor", 30, 40, 50), took("Bo", "Moor", 99, 99)), forecast.Wait{Median: 40, High: 50, Basis: "3 batches of this variety"}},
		{"all", add(took("Bo", "Moor", 70, 71), took("Cy", "Heath", 72)), forecast.Wait{Median: 71, High: 72, Basis: "3 batches of all"}},
		{"nine of ten", took("Ada", "Fen", 10, 1, 9, 2, 8, 3, 7, 4, 6, 5), forecast.Wait{Median: 5, High: 9, Basis: "10 batches of this pair"}},
		{"nine of ten of eleven are ten", took("Ada", "Fen", 11, 10, 1, 9, 2, 8, 3, 7, 4, 6, 5), forecast.Wait{Median: 6, High: 10, Basis: "11 batches of this pair"}},
	} {
		require.Equal(t, test.want, forecast.Days(test.outcomes, "Ada", "Fen"), test.reason)
	}
}
