package schedule

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// weekdays are days off.
func weekdays(off ...time.Weekday) func(day time.Time) bool {
	return func(day time.Time) bool { return slices.Contains(off, day.Weekday()) }
}

func TestNothingToDo(t *testing.T) {
	for name, orders := range map[string][]Order{
		"no orders":           nil,
		"an order of nothing": {{Latest: day(3), TraySize: 5, Stay: 3}},
	} {
		t.Run(name, func(t *testing.T) {
			plan, err := Make(t.Context(), orders, Limits{First: firstDay, BedSpaces: 1, GraftsADay: 1})
			require.NoError(t, err)
			require.Empty(t, plan.Lots)
			require.True(t, plan.Best)
			valid(t, orders, Limits{First: firstDay, BedSpaces: 1, GraftsADay: 1}, plan)
		})
	}
}

func TestPieces(t *testing.T) {
	berlin := time.FixedZone("east", 3600)
	for _, c := range []struct {
		name   string
		orders []Order
		limits Limits
		want   []Lot
	}{
		{"all at once and at once where nothing limits", []Order{{Grafts: 90, TraySize: 40, Latest: day(9), Stay: 30}}, Limits{},
			[]Lot{{0, day(0), 90, 3}}},
		{"one tray for the lot where trays have no size", []Order{{Grafts: 90, Latest: day(9), Stay: 30}}, Limits{BedSpaces: 1},
			[]Lot{{0, day(0), 90, 1}}},
		{"one day later in one lot rather than at once in two",
			[]Order{{Grafts: 30, TraySize: 10, Latest: day(9), Stay: 30}}, Limits{BedSpaces: 3, Standing: []Standing{{1, day(2)}}},
			[]Lot{{0, day(2), 30, 3}}},
		{"in two lots where it has to be, the larger first",
			[]Order{{Grafts: 30, TraySize: 10, Latest: day(9), Stay: 30}}, Limits{GraftsADay: 20},
			[]Lot{{0, day(0), 20, 2}, {0, day(1), 10, 1}}},
		{"a part of a tray where hands allow no more", []Order{{Grafts: 100, TraySize: 50, Latest: day(2), Stay: 30}}, Limits{GraftsADay: 40},
			[]Lot{{0, day(0), 40, 1}, {0, day(1), 40, 1}, {0, day(2), 20, 1}}},
		{"on the day on which a tray leaves its place is free",
			[]Order{{Grafts: 5, TraySize: 5, Latest: day(9), Stay: 2}, {Grafts: 5, TraySize: 5, Latest: day(9), Stay: 2}}, Limits{BedSpaces: 1},
			[]Lot{{0, day(0), 5, 1}, {1, day(2), 5, 1}}},
		{"no stay takes no place", []Order{{Grafts: 5, TraySize: 5, Latest: day(0)}}, Limits{BedSpaces: 1, Standing: []Standing{{1, day(9)}}},
			[]Lot{{0, day(0), 5, 1}}},
		{"a tray that came before the first day still stands", []Order{{Grafts: 5, TraySize: 5, Latest: day(3), Stay: 2}},
			Limits{BedSpaces: 1, Arriving: []Arriving{{Trays: 1, Day: day(-2), Stay: 4}}}, []Lot{{0, day(2), 5, 1}}},
		{"not on a Monday", []Order{{Grafts: 5, Latest: day(3)}}, Limits{Off: weekdays(time.Monday)}, []Lot{{0, day(1), 5, 1}}},
		{"dates count in their own time zone", []Order{{Grafts: 5, Latest: day(0).In(berlin).Add(20 * time.Hour)}}, Limits{},
			[]Lot{{0, day(0), 5, 1}}},
		{"a value of nothing is taken for one plant", []Order{{Grafts: 5, Latest: day(0), Stay: 1}, {Grafts: 5, Latest: day(0), Stay: 1, Value: 0.9}},
			Limits{BedSpaces: 1}, []Lot{{0, day(0), 5, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.limits.First = firstDay
			plan, err := Make(t.Context(), c.orders, c.limits)
			require.NoError(t, err)
			require.Equal(t, c.want, plan.Lots)
			require.True(t, plan.Best)
		})
	}
}

func TestRefused(t *testing.T) {
	good := Order{Grafts: 5, TraySize: 5, Latest: day(3), Stay: 4, Value: 1}
	with := func(change func(*Order)) []Order {
		bad := good
		change(&bad)
		return []Order{good, bad}
	}
	for _, c := range []struct {
		orders []Order
		limits Limits
		want   string
	}{
		{with(func(o *Order) { o.Grafts = -1 }), Limits{}, "order 2: -1 grafts, want 0 to 1000000"},
		{with(func(o *Order) { o.TraySize = -1 }), Limits{}, "order 2: -1 grafts a tray, want 0 to 1000000"},
		{with(func(o *Order) { o.Stay = -1 }), Limits{}, "order 2: -1 days under mist, want 0 to 1096"},
		{with(func(o *Order) { o.Latest = time.Time{} }), Limits{}, "order 2: no last day"},
		{with(func(o *Order) { o.Latest = day(1097) }), Limits{}, "order 2: last day 2030-01-12 is more than three years after the first day"},
		{with(func(o *Order) { o.Value = -1 }), Limits{}, "order 2: a value of -1 plants for each graft, want 0 or 1e-06 to 1000000"},
		{with(func(o *Order) { o.Value = math.NaN() }), Limits{}, "order 2: a value of NaN plants for each graft, want 0 or 1e-06 to 1000000"},
		{with(func(o *Order) { o.Value = 1e-9 }), Limits{}, "order 2: a value of 1e-09 plants for each graft, want 0 or 1e-06 to 1000000"},
		{slices.Repeat([]Order{{Latest: day(999)}}, 101), Limits{},
			"order 101: with those before it there are more than 100000 days to choose from; plan a shorter time, or fewer orders at once"},
		{nil, Limits{BedSpaces: -1}, "limits: -1 places, want 0 to 1000000"},
		{nil, Limits{GraftsADay: -1}, "limits: -1 grafts a day, want 0 to 1000000"},
		{nil, Limits{Standing: []Standing{{Trays: 1}}}, "standing trays 1: no day on which they leave"},
		{nil, Limits{Arriving: []Arriving{{Trays: 1}}}, "arriving trays 1: no day"},
		{nil, Limits{Arriving: []Arriving{{Day: day(1), Grafts: -2}}}, "arriving trays 1: -2 grafts, want 0 to 1000000"},
	} {
		t.Run(c.want, func(t *testing.T) {
			c.limits.First = firstDay
			_, err := Make(t.Context(), c.orders, c.limits)
			require.EqualError(t, err, c.want)
		})
	}
	_, err := Make(t.Context(), nil, Limits{})
	require.EqualError(t, err, "limits: no first day")
}

func TestSamePlanAgain(t *testing.T) {
	orders, limits := largeCase(4, 40, 40, 0.7)
	first, err := Make(t.Context(), orders, limits)
	require.NoError(t, err)
	require.False(t, first.Best, "a case that takes all the work allowed")
	again, err := Make(t.Context(), orders, limits)
	require.NoError(t, err)
	require.Equal(t, first, again)
}

func TestContextEnds(t *testing.T) {
	orders, limits := largeCase(1, 200, 60, 0.6)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	plan, err := Make(ended, orders, limits)
	require.ErrorIs(t, err, context.Canceled)
	require.Empty(t, plan)

	soon, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
	defer cancel()
	_, err = Make(soon, orders, limits)
	require.ErrorIs(t, err, context.DeadlineExceeded)
}

func TestManyOrders(t *testing.T) {
	orders, limits := largeCase(5, 900, 60, 0.8)
	orders[7].Latest = day(-1)
	orders[7].Value = 2
	plan, err := Make(t.Context(), orders, limits)
	require.NoError(t, err)
	valid(t, orders, limits, plan)
	require.InDelta(t, 2*float64(orders[7].Grafts), plan.Bound, 1e-9, "with so many only the infeasible count")
	require.False(t, plan.Best)
}

func FuzzMake(f *testing.F) {
	f.Add(uint64(1), uint64(2))
	f.Add(uint64(5), uint64(8))
	f.Fuzz(func(t *testing.T, one, two uint64) {
		orders, limits := smallCase(rand.New(rand.NewPCG(one, two)), 1)
		plan, err := Make(t.Context(), orders, limits)
		require.NoError(t, err)
		valid(t, orders, limits, plan)
		require.InDelta(t, bestOf(orders, limits).left, plan.Left, 1e-9, "%+v %+v", orders, limits)
		require.True(t, plan.Best)
		// One place more and one graft a day more never leave more out.
		if limits.BedSpaces > 0 {
			limits.BedSpaces++
		}
		if limits.GraftsADay > 0 {
			limits.GraftsADay++
		}
		more, err := Make(t.Context(), orders, limits)
		require.NoError(t, err)
		require.LessOrEqual(t, more.Left, plan.Left+1e-9)
	})
}
