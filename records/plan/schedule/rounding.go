package schedule

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// roundDown is a plan near to the program's values: trays rounded down and filled as
// well as can be, then what still fits. Where no tray is divided it leaves out no
// more than the program does.
func (r *relaxation) roundDown() *solution {
	d := newSolution(r.problem)
	holds := make([][]int, len(r.jobs))
	for order, j := range r.jobs {
		holds[order] = make([]int, j.slots)
		for slot := range j.slots {
			_, trays := r.grafts(order, slot)
			if len(r.room) == 0 {
				trays = math.Ceil(trays - 1e-6)
			}
			holds[order][slot] = int(math.Floor(trays+1e-6)) * j.tray
		}
	}
	d.fill(holds)
	d.insertAll(d.priorityOrder())
	return d
}

// fill makes as much of the value as trays hold that stand ready, for each order
// and day so many grafts. It takes orders by their value and lets each push others
// to other days of theirs, as long as they lose nothing: since only the order counts
// for the value, not the day, no filling is worth more (a polymatroid).
func (d *solution) fill(holds [][]int) {
	orders := slices.Clone(d.all)
	slices.SortStableFunc(orders, func(a, b int) int { return cmp.Compare(d.jobs[b].value, d.jobs[a].value) })
	for _, order := range orders {
		for slot := range d.jobs[order].slots {
			if grafts := min(d.short[order], d.hands[slot], holds[order][slot]); grafts > 0 {
				d.add(order, slot, grafts)
			}
		}
		for d.short[order] > 0 && d.augment(order, holds) {
		}
	}
}

// augment makes more of an order along the shortest chain: it takes hands on a day from
// another order, which takes them on another day, and so on to a day with hands left.
func (d *solution) augment(order int, holds [][]int) bool {
	const unknown, source = -2, -1
	dayFrom := slices.Repeat([]int{unknown}, len(d.days)) // the order that asks for the day
	orderFrom := slices.Repeat([]int{unknown}, len(d.jobs))
	orderFrom[order] = source // else the day that it would give up
	queue := []int{order}
	for len(queue) > 0 {
		asking := queue[0]
		queue = queue[1:]
		for slot, hold := range holds[asking] {
			if dayFrom[slot] != unknown || d.lots[asking][slot] >= hold {
				continue
			}
			dayFrom[slot] = asking
			if d.hands[slot] > 0 {
				d.shiftAlong(order, slot, dayFrom, orderFrom, holds)
				return true
			}
			for other := range d.jobs {
				if orderFrom[other] == unknown && slot < d.jobs[other].slots && d.lots[other][slot] > 0 {
					orderFrom[other] = slot
					queue = append(queue, other)
				}
			}
		}
	}
	return false
}

// shiftAlong moves as many grafts along a chain as each part of it allows.
func (d *solution) shiftAlong(order, last int, dayFrom, orderFrom []int, holds [][]int) {
	grafts := min(d.short[order], d.hands[last])
	chain := func(part func(asking, gains, gives int)) {
		for day := last; ; {
			asking := dayFrom[day]
			gives := orderFrom[asking]
			part(asking, day, gives)
			if asking == order {
				return
			}
			day = gives
		}
	}
	chain(func(asking, gains, gives int) {
		grafts = min(grafts, holds[asking][gains]-d.lots[asking][gains])
		if asking != order {
			grafts = min(grafts, d.lots[asking][gives])
		}
	})
	chain(func(asking, gains, gives int) {
		d.add(asking, gains, grafts)
		if asking != order {
			d.add(asking, gives, -grafts)
		}
	})
}

// dive looks for a good plan below a solved program: it keeps whole trays, rounds
// some of the divided ones up, those nearest to whole first, solves what is left, and
// so on. It changes no bounds for good.
func (t *branchAndBound) dive(ctx context.Context, work int) {
	before := slices.Clone(t.columns)
	defer func() { t.columns = before }()
	for range 2 * len(t.days) {
		up := t.roundSomeUp()
		if len(up) == 0 {
			break
		}
		outcome := t.linearProgram.solve(ctx, work)
		if outcome == infeasible {
			for _, j := range up {
				c := &t.columns[j]
				c.low--
				c.high = c.low
			}
			outcome = t.linearProgram.solve(ctx, work)
		}
		if outcome != optimal {
			break
		}
		t.keep(t.roundDown())
	}
}

// keep takes a plan if it is better.
func (t *branchAndBound) keep(d *solution) {
	if left := d.objective().left; left < t.left-t.tolerance()/10 {
		t.best, t.left = d, left
	}
}

// roundSomeUp keeps whole trays in the program and makes some divided ones whole.
func (t *branchAndBound) roundSomeUp() []int {
	type part struct {
		column int
		over   float64
	}
	var parts []part
	for _, columns := range slices.Concat(t.full, t.part) {
		for _, j := range columns {
			if j < 0 {
				continue
			}
			c, x := &t.columns[j], t.at(j)
			whole := math.Floor(x + 1e-6)
			c.low = max(c.low, whole)
			if over := x - whole; over > 1e-6 {
				if whole+1 > c.high {
					c.high = whole
					continue
				}
				parts = append(parts, part{j, over})
			}
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.over, a.over) })
	var up []int
	for at, p := range parts {
		if at > len(parts)/10 {
			break
		}
		t.columns[p.column].low++
		up = append(up, p.column)
	}
	return up
}
