package schedule

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/long"
)

// largeCase is a season of so many orders, in a bed that holds a part of what would
// stand in it.
func largeCase(seed uint64, orders, days int, tight float64) ([]Order, Limits) {
	chance := rand.New(rand.NewPCG(seed, 7))
	limits := Limits{First: firstDay, Off: weekdays(time.Saturday, time.Sunday)}
	var all []Order
	trayDays, grafts := 0, 0
	for range orders {
		o := Order{
			Grafts: 5 + chance.IntN(120), TraySize: []int{0, 24, 40, 60}[chance.IntN(4)], Latest: day(days/4 + chance.IntN(days*3/4)),
			Stay: 18 + chance.IntN(25), Value: float64(30+chance.IntN(65)) / 100,
		}
		trays := 1
		if o.TraySize > 0 {
			trays = (o.Grafts-1)/o.TraySize + 1
		}
		trayDays += trays * o.Stay
		grafts += o.Grafts
		all = append(all, o)
	}
	limits.BedSpaces = max(4, int(tight*float64(trayDays)/float64(days)))
	limits.GraftsADay = int(float64(grafts) / (float64(days) * 5 / 7) * 1.1)
	limits.Standing = []Standing{{limits.BedSpaces / 2, day(8)}, {limits.BedSpaces / 4, day(17)}}
	limits.Arriving = []Arriving{{Trays: 3, Grafts: 20, Day: day(2), Stay: 25}, {Trays: 2, Grafts: 30, Day: day(30), Stay: 25}}
	return all, limits
}

// The short form passes over the beds of nine tenths, which take all the work allowed.
func TestLarge(t *testing.T) {
	for _, c := range []struct {
		orders int
		tight  float64
		gap    float64 // most that Left may be over Bound, as a part of the value of all
	}{
		{200, 2, 0}, {200, 1.2, 0}, {200, 0.9, 0.003}, {200, 0.6, 0.02}, {60, 0.9, 0.02}, {20, 0.6, 0.01},
	} {
		if c.tight == 0.9 && !long.Form() {
			continue
		}
		t.Run(fmt.Sprintf("%d orders in a bed of %v", c.orders, c.tight), func(t *testing.T) {
			orders, limits := largeCase(1, c.orders, 60, c.tight)
			plan, err := Make(t.Context(), orders, limits)
			require.NoError(t, err)
			valid(t, orders, limits, plan)
			p, err := newProblem(orders, limits)
			require.NoError(t, err)
			require.LessOrEqual(t, plan.Left, soonestFirst(t, orders, limits).objective().left)
			require.LessOrEqual(t, plan.Left-plan.Bound, c.gap*p.total)
			require.Equal(t, c.gap == 0, plan.Best)
			t.Logf("left out %.2f of %.0f, bound %.2f, soonest first %.2f; %d lots",
				plan.Left, p.total, plan.Bound, soonestFirst(t, orders, limits).objective().left, len(plan.Lots))
		})
	}
}

// Work is bounded, whatever the case: a plan for 200 orders takes about a second.
func TestWork(t *testing.T) {
	for _, tight := range []float64{0.9, 1.2, 0.6, 0.3}[:long.Cases(1, 4)] {
		orders, limits := largeCase(2, 200, 60, tight)
		p, err := newProblem(orders, limits)
		require.NoError(t, err)
		first := newSolution(p)
		first.insertAll(first.priorityOrder())
		tree := newBranchAndBound(p, first)
		tree.run(t.Context())
		require.Less(t, tree.work, mostWork+mostWork/4, "the program, in a bed of %v", tight)
		require.Less(t, tree.best.examined, mostExamined)
		search := tree.best.search(1)
		for range search.iterations {
			search.ruinAndRecreate(nil, 0)
		}
		require.Less(t, search.examined, mostExamined, "the search, in a bed of %v", tight)
		t.Logf("bed of %v: the program looked at %d million numbers, the search at %d million days", tight, tree.work/1e6, search.examined/1e6)
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, tight := range []float64{2, 1.2, 0.9, 0.6} {
		for _, size := range []int{20, 60, 200} {
			b.Run(fmt.Sprintf("%d orders, bed of %v", size, tight), func(b *testing.B) {
				orders, limits := largeCase(1, size, 60, tight)
				for b.Loop() {
					plan, err := Make(b.Context(), orders, limits)
					if err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(plan.Left, "left")
					b.ReportMetric(plan.Bound, "bound")
					b.ReportMetric(float64(len(plan.Lots)), "lots")
				}
			})
		}
	}
}
