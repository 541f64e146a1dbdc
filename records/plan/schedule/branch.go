package schedule

import (
	"context"
	"math"
)

// mostWork is how many numbers the linear programme may look at, and diveWork of
// them for the first good plan: a second in all on one core.
const (
	mostWork = 1_200_000_000
	diveWork = 300_000_000
)

// node is a part of all plans: those in which some y are within bounds.
type node struct {
	limits []limit
	bound  float64 // no plan in it leaves out less
}

// limit bounds the trays of an order on a day.
type limit struct {
	order, choice int
	low, high     float64
}

// tree is the search for the least value left out.
type tree struct {
	*relaxed
	best   *draft
	left   float64 // of best
	open   []node
	proven float64 // the least bound of all that was closed
}

// newTree starts from a plan.
func newTree(p *problem, first *draft) *tree {
	return &tree{relaxed: newRelaxed(p), best: first, left: first.left(), proven: math.Inf(1)}
}

// grow looks for better plans and returns a value that no plan goes below.
func (t *tree) grow(ctx context.Context) (bound float64) {
	if t.look(ctx, node{}, mostWork) && len(t.open) > 0 {
		prices := t.prices()
		t.dive(ctx, t.work+diveWork)
		t.best.wander(ctx, 2, prices)
		t.left = t.best.left()
	}
	for len(t.open) > 0 {
		if n := t.next(); n.bound >= t.left-t.tolerance() {
			t.proven = min(t.proven, n.bound)
		} else if !t.look(ctx, n, mostWork) {
			break
		}
	}
	for _, n := range t.open {
		t.proven = min(t.proven, n.bound)
	}
	return max(0, min(t.proven, t.left))
}

// tolerance is the value that is not worth looking for. Plan.Best allows ten times
// as much, since a bound can be off by the columns' nudges.
func (p *problem) tolerance() float64 { return 1e-7 * p.total }

// sharpened rounds a bound up to what can be left out at all.
func (p *problem) sharpened(bound float64) float64 {
	if p.grain == 0 {
		return bound
	}
	return max(bound, p.grain*math.Ceil((bound-p.tolerance())/p.grain-1e-9))
}

// next takes the node of the least bound out; of those alike the newest.
func (t *tree) next() node {
	at := len(t.open) - 1
	for i := at; i >= 0; i-- {
		if t.open[i].bound < t.open[at].bound-t.tolerance() {
			at = i
		}
	}
	n := t.open[at]
	t.open = append(t.open[:at], t.open[at+1:]...)
	return n
}

// look solves a node, tries the plan that is near to it, and opens two parts of it.
// It returns false if there was no time to.
func (t *tree) look(ctx context.Context, n node, work int) bool {
	t.within(n.limits)
	t.work += len(t.open) + 4*len(t.columns) // for what is not the programme's
	switch t.programme.solve(ctx, work) {
	case impossible:
		return true
	case unclear:
		t.proven = min(t.proven, n.bound)
		return true
	case stopped:
		n.bound = max(n.bound, t.sharpened(t.leftOut()))
		t.open = append(t.open, n)
		return false
	}
	n.bound = max(n.bound, t.sharpened(t.leftOut()))
	if n.bound < t.left-t.tolerance() {
		t.keep(t.rounded())
	}
	order, choice, trays := t.divided()
	if order < 0 || n.bound >= t.left-t.tolerance() {
		t.proven = min(t.proven, n.bound)
		return true
	}
	below := limit{order, choice, 0, math.Floor(trays)}
	above := limit{order, choice, math.Floor(trays) + 1, t.mostTrays(order, choice)}
	t.branchOn(order, choice)
	for _, part := range []limit{below, above} {
		if part.low > part.high {
			continue // F and P together were more than can be needed
		}
		limits := append(append([]limit(nil), n.limits...), part)
		t.open = append(t.open, node{limits, n.bound})
	}
	return true
}

// within sets the bounds of y.
func (t *tree) within(limits []limit) {
	for order, columns := range t.trays {
		for choice, c := range columns {
			if c >= 0 {
				t.columns[c].low, t.columns[c].high = 0, t.mostTrays(order, choice)
			}
		}
	}
	for _, l := range limits {
		c := &t.columns[t.trays[l.order][l.choice]]
		c.low, c.high = max(c.low, l.low), min(c.high, l.high)
	}
}

// divided is the day on which trays are divided the most, by value; -1 if none are
// or the bed has no limit, so that it does not matter.
func (t *tree) divided() (order, choice int, trays float64) {
	order, worst := -1, 0.0
	if len(t.room) == 0 {
		return order, 0, 0
	}
	for o, j := range t.jobs {
		for c := range j.choices {
			_, y := t.grafts(o, c)
			off := math.Abs(y - math.Round(y))
			if measure := off * j.value * float64(j.tray); off > 1e-6 && measure > worst {
				order, choice, trays, worst = o, c, y, measure
			}
		}
	}
	return order, choice, trays
}
