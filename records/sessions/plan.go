package sessions

import (
	"cmp"
	"math"
	"slices"
)

// plan tells a draft in days.
func (p *problem) plan(d *draft, bound float64, orders []Order, limits Limits) Plan {
	plan := Plan{Short: slices.Clone(d.short), Reasons: make([]string, len(orders)), Left: d.left(), Bound: bound}
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
	plan.FewestBound = p.fewest(plan.Left + 10*p.tolerance())
	return plan
}

// fewest is how many pieces a plan has at least that leaves out no more than a value:
// of each order so many grafts have to be made that those left out are not worth
// more, and of these no more fit on a day than if there were no other order.
func (p *problem) fewest(left float64) int {
	empty := newDraft(p)
	pieces := 0
	for order, j := range p.jobs {
		made := j.grafts - int(min(float64(j.grafts), math.Floor(left/j.value)))
		if most := empty.mostOn(order); most > 0 {
			pieces += (made + most - 1) / most
		}
	}
	return pieces
}
