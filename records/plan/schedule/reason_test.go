package schedule

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestReasons(t *testing.T) {
	order := func(grafts, last, stay int) Order {
		return Order{Grafts: grafts, TraySize: 10, Latest: day(last), Stay: stay, Value: 1}
	}
	dear := func(o Order) Order { o.Value = 9; return o }
	all := func(time.Time) bool { return true }
	for _, c := range []struct {
		name   string
		orders []Order // of which the first is short
		limits Limits
		reason string
	}{
		{"too late", []Order{order(5, -2, 3)}, Limits{},
			"its last day for grafting, 2027-01-09, is before the first, 2027-01-11"},
		{"days off", []Order{order(5, 4, 3)}, Limits{Off: all}, "nobody grafts from 2027-01-11 to 2027-01-15"},
		{"what stands fills the bed", []Order{order(5, 4, 3)}, Limits{BedSpaces: 2, Standing: []Standing{{1, day(6)}, {1, day(9)}}},
			"the bed is full until 2027-01-17 with trays that stand there or are already labelled; its last day for grafting is 2027-01-15"},
		{"more stands than there are places", []Order{order(5, 0, 3)}, Limits{BedSpaces: 1, Standing: []Standing{{3, day(9)}}},
			"the bed is full until 2027-01-20 with trays that stand there or are already labelled; its last day for grafting is 2027-01-11"},
		{"a free place, but not for long enough", []Order{order(5, 1, 5)}, Limits{BedSpaces: 1, Arriving: []Arriving{{Trays: 1, Day: day(3), Stay: 4}}},
			"the bed has no space free for 5 days until 2027-01-18 with trays that stand there or are already labelled; its last day for grafting is 2027-01-12"},
		{"a gap between trays that arrive is too short", []Order{order(5, 0, 3)},
			Limits{BedSpaces: 1, Arriving: []Arriving{{Trays: 1, Day: day(0), Stay: 2}, {Trays: 1, Day: day(4), Stay: 2}}},
			"the bed is full until 2027-01-17 with trays that stand there or are already labelled; its last day for grafting is 2027-01-11"},
		{"orders worth more fill the bed", []Order{order(5, 2, 3), dear(order(10, 0, 6))}, Limits{BedSpaces: 1},
			"the bed is full until 2027-01-17; its last day for grafting is 2027-01-13"},
		{"too few hands", []Order{order(50, 2, 3)}, Limits{GraftsADay: 10}, "10 grafts a day are too few until 2027-01-13"},
		{"one graft a day", []Order{order(50, 2, 3)}, Limits{GraftsADay: 1}, "1 graft a day is too few until 2027-01-13"},
		{"hands of labelled trays", []Order{order(50, 2, 3)}, Limits{GraftsADay: 10, Arriving: []Arriving{{Grafts: 4, Day: day(1)}}},
			"10 grafts a day, less those of trays already labelled, are too few until 2027-01-13"},
		{"all hands for labelled trays", []Order{order(5, 0, 3)}, Limits{GraftsADay: 10, Arriving: []Arriving{{Grafts: 12, Day: day(0)}}},
			"trays already labelled take all of 10 grafts a day until 2027-01-11"},
		{"the bed on some days, hands on others", []Order{order(50, 2, 3)},
			Limits{GraftsADay: 10, BedSpaces: 2, Standing: []Standing{{2, day(2)}}},
			"until 2027-01-13 the bed is full on 2 days, and on 1 day 10 grafts are too few"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.limits.First = firstDay
			plan, err := Make(t.Context(), c.orders, c.limits)
			require.NoError(t, err)
			require.Positive(t, plan.Short[0])
			require.Equal(t, c.reason, plan.Reasons[0])
			require.True(t, plan.Best)
			valid(t, c.orders, c.limits, plan)
		})
	}
}
