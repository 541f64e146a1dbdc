package schedule

import (
	"context"
	"math"
	"slices"
)

// dive looks for a good plan below a solved programme: it keeps whole trays, rounds
// some of the divided ones up, those nearest to whole first, solves what is left, and
// so on. It changes no bounds for good.
func (t *tree) dive(ctx context.Context, work int) {
	type bounds struct{ low, high float64 }
	var before []bounds
	for _, c := range t.columns {
		before = append(before, bounds{c.low, c.high})
	}
	for range 2 * len(t.days) {
		up := t.roundUp()
		if len(up) == 0 {
			break
		}
		outcome := t.programme.solve(ctx, work)
		if outcome == impossible {
			for _, j := range up {
				c := &t.columns[j]
				c.low--
				c.high = c.low
			}
			outcome = t.programme.solve(ctx, work)
		}
		if outcome != solved {
			break
		}
		t.keep(t.rounded())
	}
	for j, b := range before {
		t.columns[j].low, t.columns[j].high = b.low, b.high
	}
}

// keep takes a plan if it is better.
func (t *tree) keep(d *draft) {
	if left := d.left(); left < t.left-t.tolerance()/10 {
		t.best, t.left = d, left
	}
}

// roundUp keeps whole trays in the programme and makes some divided ones whole.
func (t *tree) roundUp() []int {
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
	slices.SortStableFunc(parts, func(a, b part) int {
		switch {
		case a.over > b.over:
			return -1
		case a.over < b.over:
			return 1
		}
		return 0
	})
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
