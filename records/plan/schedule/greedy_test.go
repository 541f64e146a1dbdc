package schedule

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// soonestFirst is what one would do by hand: the order with the first last day comes
// first, on the earliest day that has room.
func soonestFirst(t *testing.T, orders []Order, limits Limits) *solution {
	p, err := newProblem(orders, limits)
	require.NoError(t, err)
	d := newSolution(p)
	var all []int
	for i := range orders {
		all = append(all, i)
	}
	slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(p.jobs[a].slots, p.jobs[b].slots) })
	for _, order := range all {
		for slot := range p.jobs[order].slots {
			d.add(order, slot, d.fits(order, slot))
		}
	}
	return d
}

func TestSoonestFirstFails(t *testing.T) {
	for _, c := range []struct {
		name   string
		orders []Order
		limits Limits
		greedy float64 // left out by soonestFirst
		left   float64 // least
		lots   int     // fewest
	}{
		{name: "a cheap order that is urgent takes the only place of a dear one",
			orders: []Order{{Grafts: 1, TraySize: 10, Latest: day(0), Stay: 5, Value: 1}, {Grafts: 10, TraySize: 10, Latest: day(1), Stay: 5, Value: 1}},
			limits: Limits{BedSpaces: 1}, greedy: 10, left: 1, lots: 1},
		{name: "the short stay has to go before the long one",
			orders: []Order{{Grafts: 3, TraySize: 5, Latest: day(1), Stay: 4, Value: 1}, {Grafts: 4, TraySize: 5, Latest: day(1), Stay: 1, Value: 1}},
			limits: Limits{BedSpaces: 1}, greedy: 4, left: 0, lots: 2},
		{name: "a tray that stands too long is in the way of two others",
			orders: []Order{
				{Grafts: 5, TraySize: 5, Latest: day(3), Stay: 4, Value: 1},
				{Grafts: 4, TraySize: 5, Latest: day(4), Stay: 2, Value: 1},
				{Grafts: 4, TraySize: 5, Latest: day(4), Stay: 2, Value: 1}},
			limits: Limits{BedSpaces: 1, Arriving: []Arriving{{Trays: 1, Day: day(5), Stay: 3}}}, greedy: 8, left: 5, lots: 2},
		{name: "hands go to what is worth more, though there is more time for it",
			orders: []Order{{Grafts: 20, TraySize: 10, Latest: day(1), Value: 0.4}, {Grafts: 30, TraySize: 10, Latest: day(2), Value: 0.9}},
			limits: Limits{GraftsADay: 10}, greedy: 18, left: 8, lots: 3},
		{name: "trays that are part full waste places",
			orders: []Order{{Grafts: 3, TraySize: 2, Latest: day(0), Stay: 9, Value: 1}, {Grafts: 4, TraySize: 2, Latest: day(1), Stay: 9, Value: 1}},
			limits: Limits{BedSpaces: 3}, greedy: 2, left: 1, lots: 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.limits.First = firstDay
			require.InDelta(t, c.greedy, soonestFirst(t, c.orders, c.limits).objective().left, 1e-9)
			plan, err := Make(t.Context(), c.orders, c.limits)
			require.NoError(t, err)
			valid(t, c.orders, c.limits, plan)
			require.InDelta(t, c.left, plan.Left, 1e-9)
			require.Len(t, plan.Lots, c.lots)
			require.True(t, plan.Best)
			require.InDelta(t, bestOf(c.orders, c.limits).left, plan.Left, 1e-9, "the case itself")
		})
	}
}

// Small cases have to be hard enough to tell the way by hand from the best.
func TestSoonestFirstShare(t *testing.T) {
	const cases = 2000
	chance := rand.New(rand.NewPCG(3, 5))
	worse, short := 0, 0
	for range cases {
		orders, limits := smallCase(chance, 1)
		best := bestOf(orders, limits)
		greedy := soonestFirst(t, orders, limits).objective().left
		require.GreaterOrEqual(t, greedy, best.left-1e-9)
		if best.left > 0 {
			short++
		}
		if greedy > best.left+1e-9 {
			worse++
		}
	}
	t.Logf("of %d cases %d are short at best; soonest first leaves out more than it has to in %d", cases, short, worse)
	require.Greater(t, worse, cases/20)
}
