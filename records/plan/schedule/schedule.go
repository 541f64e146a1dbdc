// Package schedule finds on which days to graft what, so that the mist bed never
// overflows and no more is grafted a day than hands allow.
//
// # The model
//
// An order i has n(i) grafts in trays of t(i), the last day l(i) on which it may
// be grafted, the days s(i) that its trays stand under mist, and the plants v(i)
// expected of a graft. Of order i there are g(i,d) grafts on day d, in
// y(i,d) = ⌈g(i,d) / t(i)⌉ trays: a tray belongs to one order and one day, all
// trays of a day are full but the last. It stands from d up to and without
// d + s(i).
//
//	Σd g(i,d) ≤ n(i)                                  for each order
//	Σi g(i,d) ≤ GraftsADay − those of arriving trays  on each day
//	Σi Σ(d ≤ e < d + s(i)) y(i,d) ≤ BedSpaces − standing(e) − arriving(e)   on each day e
//	g(i,d) = 0  before First, after l(i) and on days off
//
// What counts, the first before the second and the second before the third:
//
//  1. the value left out is least: Σi v(i) (n(i) − Σd g(i,d))
//  2. there are the fewest lots: the number of (i,d) with g(i,d) > 0
//  3. grafts are early: Σ g(i,d) (d − First) is small. Cut wood loses in the cold
//     store with each day, and a day lost early can still be made up, one lost at
//     the last cannot. Work is even where GraftsADay says what hands can do;
//     where it says nothing, the bed alone decides. Common practice, no source.
//
// # What is guaranteed
//
// Every plan keeps all limits, and leaves nothing out that would still fit beside
// the rest of it. No lot could move by itself to an earlier day, and none could be
// put with another of its order.
//
// Plan.Bound is proven: no plan leaves out less. Where Plan.Best is true, Left is
// the least, to a millionth of the value of all orders. The bound comes from a
// linear program that lets trays be divided, and from branching on y(i,d) where
// it divided one, and holds whatever rounding did to the numbers in it (as far as a
// sum of them is right to a millionth of the value of all). Branching ends after a fixed amount of work: with more than a few
// orders in a tight bed Best is often false, and Left − Bound is then the most that
// a better plan could save. Where days and twice the orders are more than 1500 in
// all, there is no program, and Bound counts only orders that fit on no day at all.
//
// Lots come from a search without a proof, and so does earliness.
//
// The same input gives the same plan: work is counted, not timed. (On another kind of
// processor, which rounds otherwise, it may be another plan.)
//
// # How it is found
//
// A greedy plan is taken apart and put together again, a few orders at a time. If it
// leaves something out, the program is solved (dual simplex, here since every
// column has bounds). Its trays are rounded, some at a time, to a better plan; its
// prices for places and hands lead another search, which may go through worse plans;
// and then it is branched.
package schedule

import (
	"cmp"
	"context"
	"slices"
	"time"
)

// Order is what is to be grafted of one variety on one stock.
type Order struct {
	Grafts   int
	TraySize int       // grafts that a tray holds; 0: one tray for each lot
	Latest   time.Time // last day on which it may be grafted
	// Stay is the number of days that a tray stands under mist; 0: it never
	// does.
	Stay int
	// Value is the number of plants expected of a graft: what a graft left out
	// costs. 0 is taken for 1.
	Value float64
}

// Standing are trays in the bed now. They have left it on the day Until.
type Standing struct {
	Trays int
	Until time.Time
}

// Arriving are trays already labelled for a coming day.
type Arriving struct {
	Trays int
	// Grafts are made on that day too, and count against Limits.GraftsADay.
	Grafts int
	Day    time.Time
	Stay   int // days
}

// Limits are what the days of grafting have to keep to. Of each time the date
// counts, in its own time zone.
type Limits struct {
	First     time.Time // first day on which something may be grafted
	BedSpaces int       // trays that the bed holds; 0: no limit
	Standing  []Standing
	Arriving  []Arriving
	// GraftsADay is how many grafts hands can make in a day; 0: no limit.
	GraftsADay int
	// Off reports the days on which nobody grafts. It must answer the same each time;
	// nil: never.
	Off func(day time.Time) bool
}

// Lot is what is grafted of one order on one day.
type Lot struct {
	Order  int       // index among the orders
	Day    time.Time // midnight UTC
	Grafts int
	Trays  int
}

// Schedule is what to graft on which day.
type Schedule struct {
	Lots []Lot // by day, then by order
	// Short is how many grafts of each order cannot be made, and Reasons why, in
	// words; empty where none are short.
	Short   []int
	Reasons []string
	// Left is the value left out: grafts short, each times its value.
	Left float64
	// Bound is proven: no plan leaves out less. Best says that this one leaves
	// out no more than that, to a millionth of the value of all orders.
	Bound float64
	Best  bool
}

// Make returns the best plan that is found. The error names an order or a limit that
// makes no sense, or is that of ctx if it ends before.
func Make(ctx context.Context, orders []Order, limits Limits) (Schedule, error) {
	p, err := newProblem(orders, limits)
	if err != nil {
		return Schedule{}, err
	}
	best, bound, err := p.solve(ctx)
	if err != nil {
		return Schedule{}, err
	}
	return p.plan(best, bound, orders, limits), nil
}

// plan writes a solution in days.
func (p *problem) plan(d *solution, bound float64, orders []Order, limits Limits) Schedule {
	plan := Schedule{Short: slices.Clone(d.short), Reasons: make([]string, len(orders)), Left: d.objective().left, Bound: bound}
	for order, j := range p.jobs {
		for slot, grafts := range d.lots[order] {
			if grafts > 0 {
				day := dayOf(p.first + p.days[slot])
				plan.Lots = append(plan.Lots, Lot{Order: order, Day: day, Grafts: grafts, Trays: j.trays(grafts)})
			}
		}
		if d.short[order] > 0 {
			plan.Reasons[order] = d.reason(order, orders[order], limits)
		}
	}
	slices.SortStableFunc(plan.Lots, func(a, b Lot) int {
		return cmp.Or(a.Day.Compare(b.Day), cmp.Compare(a.Order, b.Order))
	})
	plan.Bound = min(plan.Bound, plan.Left)
	plan.Best = plan.Left-plan.Bound <= 10*p.tolerance()
	return plan
}
