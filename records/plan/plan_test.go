package plan_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/plan"
)

func today() time.Time { return time.Date(2027, time.January, 11, 0, 0, 0, 0, time.UTC) }

func order(row int, variety string, wanted int, sure float64) records.Order {
	return records.Order{Draft: records.Draft{Row: row, Variety: variety, Stock: "Brackenfold"}, Wanted: wanted, Sure: sure}
}

func planned(t *testing.T, o plan.Options, orders ...records.Order) (plan.Plan, error) {
	t.Helper()
	o.Today, o.From = today(), today().AddDate(0, 0, 1)
	return plan.Make(t.Context(), orders, nil, records.Calendar{}, o)
}

// What an order does not say the options do, and every graft is in a draft.
func TestMake(t *testing.T) {
	given := order(3, "Ochre Parasol", 10, 0)
	given.Grafts, given.TraySize = 25, 10
	made, err := planned(t, plan.Options{Take: 0.8, Sure: 0.9, TraySize: 20, GraftsADay: 30}, order(2, "Quiet Semaphore", 40, 0), given)
	require.NoError(t, err)
	first, second := made.Orders[0], made.Orders[1]
	require.Equal(t, []any{false, 0.9, 20}, []any{first.Given, first.Sure, first.TraySize})
	require.GreaterOrEqual(t, first.Chance(), 0.9)
	require.Less(t, first.Take.Chance(first.Grafts-1, 40), 0.9, "the least number")
	require.Equal(t, []any{true, 25, 10}, []any{second.Given, second.Grafts, second.TraySize})
	perDay, perRow := map[time.Time]int{}, map[int]int{}
	for _, d := range made.Drafts {
		perDay[d.Date] += d.Grafts
		perRow[d.Row] += d.Grafts
	}
	require.Equal(t, map[int]int{2: first.Grafts, 3: 25}, perRow)
	for day, grafts := range perDay {
		require.LessOrEqual(t, grafts, 30)
		require.True(t, day.After(today()))
	}
	require.True(t, made.Best)
	require.Empty(t, made.Hints)
	guess, err := planned(t, plan.Options{Sure: 0.9}, order(2, "Quiet Semaphore", 40, 0))
	require.NoError(t, err)
	require.Len(t, guess.Hints, 1, "no batch has a known outcome")
}

// All orders that no number of grafts can meet are reported at once.
func TestFaults(t *testing.T) {
	_, err := planned(t, plan.Options{Take: 0.5}, order(2, "Quiet Semaphore", 8000, 0.9), order(3, "Ochre Parasol", 10, 0.9), order(4, "Copper Thimble", 8999, 0.5))
	var faults plan.Faults
	require.ErrorAs(t, err, &faults)
	require.Equal(t, []int{2, 4}, []int{faults[0].Row, faults[1].Row})
	require.Equal(t, "wanted", faults[0].Column)
	require.Contains(t, err.Error(), "row 4, column wanted: found 8999 plants with a chance of 50%, which needs 17998 grafts, expected an order of at most 8999 grafts")
}
