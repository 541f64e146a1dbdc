package schedule

import (
	"context"
	"math/rand/v2"
	"slices"
)

// The search takes some orders out of a plan and puts them back otherwise, again and
// again. It has so many iterations for each order, and looks at no more days than
// mostExamined in all.
const (
	iterationsForOrder = 1000
	leastIterations    = 2000
	mostIterations     = 60_000
	mostExamined       = 400_000_000
)

// startTemperature is how many grafts of middling value a try may lose at first, on the
// average, where the search may go through worse plans.
const startTemperature = 3

// solve is the whole way: a first plan, a search for better ones, the proof, and a
// search for fewer lots.
func (p *problem) solve(ctx context.Context) (best *solution, bound float64, err error) {
	best = newSolution(p)
	best.insertAll(best.priorityOrder())
	best.localSearch(ctx, 1)
	bound = p.infeasibleValue()
	if best.objective().left > bound+p.tolerance() && p.rows() <= mostRows {
		t := newBranchAndBound(p, best)
		bound = t.run(ctx)
		best = t.best
	}
	best.localSearch(ctx, 3)
	best.compact()
	return best, bound, ctx.Err()
}

// infeasibleValue is the value of orders that fit on no day even if there were no
// others.
func (p *problem) infeasibleValue() float64 {
	empty, left := newSolution(p), 0.0
	for order, j := range p.jobs {
		if !empty.insertLot(order, false) {
			left += float64(j.grafts) * j.value
			continue
		}
		empty.clear(order, nil)
	}
	return left
}

// localSearch makes a plan better with chance from a seed, and never worse on the way.
func (d *solution) localSearch(ctx context.Context, seed uint64) {
	s := d.search(seed)
	for range s.iterations {
		if ctx.Err() != nil || s.examined > mostExamined {
			return
		}
		s.ruinAndRecreate(nil, 0)
	}
}

// anneal makes a plan better by way of worse ones: a try may lose, less and less
// towards the end (simulated annealing).
func (d *solution) anneal(ctx context.Context, seed uint64, p *shadowPrices) {
	least, tolerance := d.objective(), 1e-9*d.total
	s := d.clone().search(seed)
	left, middling := least.left, d.total/float64(d.grafts)
	for try := range s.iterations {
		if ctx.Err() != nil || s.examined > mostExamined {
			return
		}
		left += s.ruinAndRecreate(p, startTemperature*middling*float64(s.iterations-try)/float64(s.iterations))
		if left > least.left+tolerance {
			continue
		}
		if now := s.objective(); now.compare(least, tolerance) < 0 {
			least, left = now, now.left
			*d = *s.clone()
		}
	}
}

// search is a plan that is changed a little again and again.
type search struct {
	*solution
	iterations int
	chance     *rand.Rand
	chosen     []int   // the orders removed
	was        [][]int // their lots
}

func (d *solution) search(seed uint64) *search {
	wanted := 0
	for _, j := range d.jobs {
		if j.grafts > 0 && j.slots > 0 {
			wanted++
		}
	}
	iterations := 0
	if wanted > 0 {
		iterations = min(mostIterations, max(leastIterations, iterationsForOrder*wanted))
	}
	d.examined = 0
	return &search{
		solution: d, iterations: iterations, chance: rand.New(rand.NewPCG(seed, uint64(len(d.jobs)))),
		was: make([][]int, len(d.jobs)),
	}
}

// ruinAndRecreate puts some orders elsewhere, and all back if that is worse and loses more value
// than the temperature allows. It returns the value lost. With prices half of the
// iterations are led by them.
func (s *search) ruinAndRecreate(p *shadowPrices, temperature float64) (lost float64) {
	s.choose()
	before := s.objective(s.chosen...)
	for _, order := range s.chosen {
		s.was[order] = s.clear(order, s.was[order])
	}
	s.chance.Shuffle(len(s.chosen), func(a, b int) { s.chosen[a], s.chosen[b] = s.chosen[b], s.chosen[a] })
	s.insertChosen(p)
	after := s.objective(s.chosen...)
	lost = after.left - before.left
	if after.compare(before, 1e-9*s.total) <= 0 || temperature > 0 && lost < temperature*s.chance.ExpFloat64() {
		return lost
	}
	for _, order := range s.chosen {
		s.clear(order, nil)
	}
	for _, order := range s.chosen {
		for slot, grafts := range s.was[order] {
			if grafts > 0 {
				s.add(order, slot, grafts)
			}
		}
	}
	return 0
}

// insertChosen puts orders back in one of several ways.
func (s *search) insertChosen(p *shadowPrices) {
	bestFit := s.chance.IntN(2) == 0
	switch {
	case p != nil && s.chance.IntN(2) == 0:
		for _, order := range s.chosen {
			s.insertPriced(order, p)
		}
	case s.chance.IntN(2) == 0:
		// One lot each before any gets a second.
		for _, order := range s.chosen {
			s.insertLot(order, bestFit)
		}
	}
	for _, order := range s.chosen {
		s.insert(order, bestFit)
	}
}

// choose takes an order, more often than not one that is short or in several lots, and some
// others that are grafted about the same time.
func (s *search) choose() {
	first := s.chance.IntN(len(s.jobs))
	for range 8 {
		if s.short[first] > 0 || s.objective(first).lots > 1 {
			break
		}
		first = s.chance.IntN(len(s.jobs))
	}
	s.chosen = append(s.chosen[:0], first)
	for range s.chance.IntN(6) {
		if other := s.chance.IntN(len(s.jobs)); !slices.Contains(s.chosen, other) && s.near(first, other) {
			s.chosen = append(s.chosen, other)
		}
	}
}

// near reports whether an order has a lot on a day on which another may be grafted.
func (s *search) near(order, other int) bool {
	lots := s.lots[other]
	return slices.ContainsFunc(lots[:min(len(lots), s.jobs[order].slots)], func(grafts int) bool { return grafts > 0 })
}
