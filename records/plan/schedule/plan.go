package schedule

import (
	"cmp"
	"slices"
)

// plan tells a draft in days.
func (p *problem) plan(d *draft, bound float64, orders []Order, limits Limits) Schedule {
	plan := Schedule{Short: slices.Clone(d.short), Reasons: make([]string, len(orders)), Left: d.left(), Bound: bound}
	for order, j := range p.jobs {
		for choice, grafts := range d.pieces[order] {
			if grafts > 0 {
				day := dayOf(p.first + p.days[choice])
				plan.Pieces = append(plan.Pieces, Piece{Order: order, Day: day, Grafts: grafts, Trays: j.trays(grafts)})
			}
		}
		if d.short[order] > 0 {
			plan.Reasons[order] = d.reason(order, orders[order], limits)
		}
	}
	slices.SortStableFunc(plan.Pieces, func(a, b Piece) int {
		return cmp.Or(a.Day.Compare(b.Day), cmp.Compare(a.Order, b.Order))
	})
	plan.Bound = min(plan.Bound, plan.Left)
	plan.Best = plan.Left-plan.Bound <= 10*p.tolerance()
	return plan
}
