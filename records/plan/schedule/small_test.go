package schedule

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/long"
)

var firstDay = time.Date(2027, 1, 11, 0, 0, 0, 0, time.UTC) // a Monday

func day(n int) time.Time { return firstDay.AddDate(0, 0, n) }

// smallCase is any problem of up to three orders and six days, with all limits. The
// size multiplies grafts, trays and hands.
func smallCase(chance *rand.Rand, size int) ([]Order, Limits) {
	days := 1 + chance.IntN(6)
	var orders []Order
	values := [][]float64{{1}, {1, 2, 3}, {0.35, 0.6, 0.85}, {0, 1, 7}}[chance.IntN(4)]
	for range 1 + chance.IntN(3) {
		orders = append(orders, Order{
			Grafts: chance.IntN(6*size + 1), TraySize: chance.IntN(3*size + 1), Latest: day(chance.IntN(days+1) - 1 + chance.IntN(2)),
			Stay: chance.IntN(5), Value: values[chance.IntN(len(values))],
		})
		if orders[len(orders)-1].Latest.After(day(5)) {
			orders[len(orders)-1].Latest = day(5)
		}
	}
	limits := Limits{First: firstDay, BedSpaces: chance.IntN(4), GraftsADay: chance.IntN(5*size + 1)}
	for range chance.IntN(3) {
		limits.Standing = append(limits.Standing, Standing{Trays: chance.IntN(3), Until: day(chance.IntN(5))})
	}
	for range chance.IntN(3) {
		limits.Arriving = append(limits.Arriving, Arriving{
			Trays: chance.IntN(2), Grafts: chance.IntN(3), Day: day(chance.IntN(6)), Stay: chance.IntN(3)})
	}
	if chance.IntN(3) == 0 {
		limits.Off = weekdays(time.Weekday(chance.IntN(7)), time.Weekday(chance.IntN(7)))
	}
	return orders, limits
}

// TestSmall holds plans against all that are possible.
func TestSmall(t *testing.T) {
	t.Run("trays of up to 3", func(t *testing.T) { againstAll(t, long.Cases(1000, 4000), 1) })
	t.Run("trays of up to 6", func(t *testing.T) { againstAll(t, long.Cases(75, 300), 2) })
	t.Run("trays of up to 12", func(t *testing.T) { againstAll(t, long.Cases(20, 40), 4) })
}

func againstAll(t *testing.T, cases, size int) {
	chance := rand.New(rand.NewPCG(3, 5))
	var short, fewest, earliest int
	for n := range cases {
		orders, limits := smallCase(chance, size)
		plan, err := Make(t.Context(), orders, limits)
		require.NoError(t, err)
		valid(t, orders, limits, plan)
		want, got := bestOf(orders, limits), objectiveOf(plan, limits)
		require.InDelta(t, want.left, plan.Left, 1e-9, "case %d: %+v %+v", n, orders, limits)
		require.True(t, plan.Best, "case %d: %+v %+v", n, orders, limits)
		require.LessOrEqual(t, plan.Bound, plan.Left)
		require.GreaterOrEqual(t, got.lots, want.lots, "case %d", n)
		if want.left > 0 {
			short++
		}
		if got.lots == want.lots {
			fewest++
			if got.late == want.late {
				earliest++
			}
		}
	}
	t.Logf("%d cases, %d short: least value in all, fewest lots in %d, earliest in %d", cases, short, fewest, earliest)
	require.GreaterOrEqual(t, fewest, cases*995/1000, "lots are not proven, but nearly always the fewest")
	require.GreaterOrEqual(t, earliest, cases*95/100)
}

// A bound holds wherever the program stops.
func TestBoundHoldsWhenStopped(t *testing.T) {
	chance := rand.New(rand.NewPCG(8, 13))
	sharp := 0
	for n := range 400 {
		orders, limits := smallCase(chance, 1)
		want := bestOf(orders, limits).left
		p, err := newProblem(orders, limits)
		require.NoError(t, err)
		for work := 1; ; work = 2*work + chance.IntN(50) {
			r := newRelaxation(p)
			outcome := r.linearProgram.solve(t.Context(), work)
			require.NotEqual(t, infeasible, outcome)
			require.LessOrEqual(t, r.lowerBound(), want+1e-6, "case %d after %d: %+v %+v", n, work, orders, limits)
			if outcome == optimal {
				if r.lowerBound() > want-1e-6 {
					sharp++
				}
				break
			}
		}
	}
	t.Logf("without branching the bound is the least value in %d of 400", sharp)
	require.Greater(t, sharp, 300)
}

func objectiveOf(plan Schedule, limits Limits) objective {
	s := objective{left: plan.Left, lots: len(plan.Lots)}
	for _, p := range plan.Lots {
		s.late += p.Grafts * (dayNumber(p.Day) - dayNumber(limits.First))
	}
	return s
}
