package schedule

import (
	"context"
	"math"
)

// mostWork is how many numbers the linear program may look at, and diveWork of
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
	order, slot int
	low, high   float64
}

// branchAndBound is the search for the least value left out.
type branchAndBound struct {
	*relaxation
	best   *solution
	left   float64 // of best
	open   []node
	proven float64 // the least bound of all that was closed
}

// newBranchAndBound starts from a plan.
func newBranchAndBound(p *problem, first *solution) *branchAndBound {
	return &branchAndBound{relaxation: newRelaxation(p), best: first, left: first.objective().left, proven: math.Inf(1)}
}

// run looks for better plans and returns a value that no plan goes below.
func (t *branchAndBound) run(ctx context.Context) (bound float64) {
	if t.explore(ctx, node{}, mostWork) && len(t.open) > 0 {
		prices := t.shadowPrices()
		t.dive(ctx, t.work+diveWork)
		t.best.anneal(ctx, 2, prices)
		t.left = t.best.objective().left
	}
	for len(t.open) > 0 {
		if n := t.takeNext(); n.bound >= t.left-t.tolerance() {
			t.proven = min(t.proven, n.bound)
		} else if !t.explore(ctx, n, mostWork) {
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

// roundUp rounds a bound up to what can be left out at all.
func (p *problem) roundUp(bound float64) float64 {
	if p.granularity == 0 {
		return bound
	}
	return max(bound, p.granularity*math.Ceil((bound-p.tolerance())/p.granularity-1e-9))
}

// takeNext takes the node of the least bound out; of those alike the newest.
func (t *branchAndBound) takeNext() node {
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

// explore solves a node, tries the plan that is near to it, and opens two parts of it.
// It returns false if there was no time to.
func (t *branchAndBound) explore(ctx context.Context, n node, work int) bool {
	t.setBounds(n.limits)
	t.work += len(t.open) + 4*len(t.columns) // for what is not the program's
	switch t.linearProgram.solve(ctx, work) {
	case infeasible:
		return true
	case uncertain:
		t.proven = min(t.proven, n.bound)
		return true
	case outOfWork:
		n.bound = max(n.bound, t.roundUp(t.lowerBound()))
		t.open = append(t.open, n)
		return false
	}
	n.bound = max(n.bound, t.roundUp(t.lowerBound()))
	if n.bound < t.left-t.tolerance() {
		t.keep(t.roundDown())
	}
	order, slot, trays := t.mostFractional()
	if order < 0 || n.bound >= t.left-t.tolerance() {
		t.proven = min(t.proven, n.bound)
		return true
	}
	below := limit{order, slot, 0, math.Floor(trays)}
	above := limit{order, slot, math.Floor(trays) + 1, t.mostTrays(order, slot)}
	t.branchOn(order, slot)
	for _, part := range []limit{below, above} {
		if part.low > part.high {
			continue // F and P together were more than can be needed
		}
		limits := append(append([]limit(nil), n.limits...), part)
		t.open = append(t.open, node{limits, n.bound})
	}
	return true
}

// setBounds sets the bounds of y.
func (t *branchAndBound) setBounds(limits []limit) {
	for order, columns := range t.trays {
		for slot, c := range columns {
			if c >= 0 {
				t.columns[c].low, t.columns[c].high = 0, t.mostTrays(order, slot)
			}
		}
	}
	for _, l := range limits {
		c := &t.columns[t.trays[l.order][l.slot]]
		c.low, c.high = max(c.low, l.low), min(c.high, l.high)
	}
}

// mostFractional is the day on which trays are divided the most, by value; -1 if none are
// or the bed has no limit, so that it does not matter.
func (t *branchAndBound) mostFractional() (order, slot int, trays float64) {
	order, worst := -1, 0.0
	if len(t.room) == 0 {
		return order, 0, 0
	}
	for o, j := range t.jobs {
		for c := range j.slots {
			_, y := t.grafts(o, c)
			off := math.Abs(y - math.Round(y))
			if measure := off * j.value * float64(j.tray); off > 1e-6 && measure > worst {
				order, slot, trays, worst = o, c, y, measure
			}
		}
	}
	return order, slot, trays
}
