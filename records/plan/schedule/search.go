package schedule

import (
	"context"
	"math/rand/v2"
)

// The search takes some orders out of a plan and puts them back otherwise, again and
// again. It has so many tries for each order, and looks at no more days than
// mostLooks in all.
const (
	triesForOrder = 1000
	leastTries    = 2000
	mostTries     = 60_000
	mostLooks     = 400_000_000
)

// losses is how many grafts of middling value a try may lose at first, on the
// average, where the search may go through worse plans.
const losses = 3

// solve is the whole way: a first plan, a search for better ones, the proof, and a
// search for fewer pieces.
func (p *problem) solve(ctx context.Context) (best *draft, bound float64, err error) {
	best = newDraft(p)
	best.insertAll(best.byValue())
	best.improve(ctx, 1)
	bound = p.hopeless()
	if best.left() > bound+p.tolerance() && p.rows() <= mostRows {
		t := newTree(p, best)
		bound = t.grow(ctx)
		best = t.best
	}
	best.improve(ctx, 3)
	best.tidy()
	return best, bound, ctx.Err()
}

// hopeless is the value of orders that have no place on any day even if there were no
// others.
func (p *problem) hopeless() float64 {
	empty, left := newDraft(p), 0.0
	for order, j := range p.jobs {
		if empty.mostOn(order) == 0 {
			left += float64(j.grafts) * j.value
		}
	}
	return left
}

// mostOn is how many grafts of an order fit on the day that takes the most of it.
func (d *draft) mostOn(order int) int {
	most := 0
	for choice := range d.jobs[order].choices {
		most = max(most, d.fits(order, choice))
	}
	return most
}

// improve makes a plan better with chance from a seed, and never worse on the way.
func (d *draft) improve(ctx context.Context, seed uint64) {
	s := d.search(seed)
	for range s.tries {
		if ctx.Err() != nil || s.looks > mostLooks {
			return
		}
		s.try(nil, 0)
	}
}

// wander makes a plan better by way of worse ones: a try may lose, less and less
// towards the end (simulated annealing).
func (d *draft) wander(ctx context.Context, seed uint64, p *prices) {
	least, tolerance := d.score(), 1e-9*d.total
	s := d.clone().search(seed)
	left, middling := least.left, d.total/float64(d.wanted())
	for try := range s.tries {
		if ctx.Err() != nil || s.looks > mostLooks {
			return
		}
		left += s.try(p, losses*middling*float64(s.tries-try)/float64(s.tries))
		if left > least.left+tolerance {
			continue
		}
		if now := s.score(); now.compare(least, tolerance) < 0 {
			least, left = now, now.left
			d.copy(s.draft)
		}
	}
}

// search is a plan that is changed a little again and again.
type search struct {
	*draft
	tries   int
	chance  *rand.Rand
	removed []bool // by order
	chosen  []int  // the orders removed
	was     [][]int
}

func (d *draft) search(seed uint64) *search {
	wanted := 0
	for _, j := range d.jobs {
		if j.grafts > 0 && j.choices > 0 {
			wanted++
		}
	}
	tries := 0
	if wanted > 0 {
		tries = min(mostTries, max(leastTries, triesForOrder*wanted))
	}
	d.looks = 0
	return &search{
		draft: d, tries: tries, chance: rand.New(rand.NewPCG(seed, uint64(len(d.jobs)))),
		removed: make([]bool, len(d.jobs)), was: make([][]int, len(d.jobs)),
	}
}
