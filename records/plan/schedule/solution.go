package schedule

import (
	"cmp"
	"math"
	"slices"
)

// solution is a plan while it is made. It always keeps all limits.
type solution struct {
	*problem
	lots     [][]int // grafts by order and slot
	short    []int   // grafts of each order that are not made
	room     []int   // that is left, as problem.room
	hands    []int   // that are left, as problem.hands
	examined int     // days looked at, in all
}

func newSolution(p *problem) *solution {
	d := &solution{problem: p, room: slices.Clone(p.room), hands: slices.Clone(p.hands)}
	for _, j := range p.jobs {
		d.lots = append(d.lots, make([]int, j.slots))
		d.short = append(d.short, j.grafts)
	}
	return d
}

func (d *solution) clone() *solution {
	c := &solution{problem: d.problem, room: slices.Clone(d.room), hands: slices.Clone(d.hands), short: slices.Clone(d.short)}
	for _, p := range d.lots {
		c.lots = append(c.lots, slices.Clone(p))
	}
	return c
}

// add makes so many more grafts of an order on a day, or fewer if it is negative.
func (d *solution) add(order, slot, grafts int) {
	j := d.jobs[order]
	before := d.lots[order][slot]
	d.lots[order][slot] += grafts
	d.short[order] -= grafts
	if d.hands[slot] != boundless {
		d.hands[slot] -= grafts
	}
	if trays := j.trays(before+grafts) - j.trays(before); trays != 0 {
		from, until := d.span(j, slot)
		for day := from; day < until; day++ {
			d.room[day] -= trays
		}
	}
}

// places is how many more trays of an order the bed takes from a day.
func (d *solution) places(order, slot int) int {
	from, until := d.span(d.jobs[order], slot)
	d.examined += until - from + 1
	least := boundless
	for _, room := range d.room[from:until] {
		least = min(least, room)
	}
	return least
}

// fits is how many more grafts of an order can be made on a day, of those short.
func (d *solution) fits(order, slot int) int {
	wanted := min(d.short[order], d.hands[slot])
	if wanted == 0 {
		return 0
	}
	j, has := d.jobs[order], d.lots[order][slot]
	open := j.trays(has)*j.tray - has // in a tray that is part full
	if wanted <= open {
		return wanted
	}
	return min(wanted, open+d.places(order, slot)*j.tray)
}

// clear takes an order out and returns what it was.
func (d *solution) clear(order int, was []int) []int {
	was = append(was[:0], d.lots[order]...)
	for slot, grafts := range was {
		if grafts > 0 {
			d.add(order, slot, -grafts)
		}
	}
	return was
}

// objective is what plans are compared by.
type objective struct {
	left float64
	lots int
	late int // grafts times days after First
}

// objective returns that of some orders, or of all where none are named.
func (d *solution) objective(orders ...int) (o objective) {
	if len(orders) == 0 {
		orders = d.all
	}
	for _, order := range orders {
		o.left += float64(d.short[order]) * d.jobs[order].value
		for slot, grafts := range d.lots[order] {
			if grafts > 0 {
				o.lots++
				o.late += grafts * d.days[slot]
			}
		}
	}
	return o
}

// compare returns -1 where o is better than another objective.
func (o objective) compare(other objective, tolerance float64) int {
	if math.Abs(o.left-other.left) > tolerance {
		return cmp.Compare(o.left, other.left)
	}
	return cmp.Or(cmp.Compare(o.lots, other.lots), cmp.Compare(o.late, other.late))
}

// insert makes what is short of an order: on the earliest day that takes all, else
// as many as can be on one day, and so on. Where bestFit is set, of the days that
// take as many it prefers the one with the fewest hands left over.
func (d *solution) insert(order int, bestFit bool) {
	for d.insertLot(order, bestFit) && d.short[order] > 0 {
	}
}

func (d *solution) insertLot(order int, bestFit bool) bool {
	best, most, left := -1, 0, 0
	enough := min(d.short[order], d.most)
	d.examined += d.jobs[order].slots
	for slot := range d.jobs[order].slots {
		fits := d.fits(order, slot)
		over := d.hands[slot] - fits
		if fits > most || bestFit && fits > 0 && fits == most && over < left {
			best, most, left = slot, fits, over
		}
		if !bestFit && most == enough {
			break
		}
	}
	if best < 0 {
		return false
	}
	d.add(order, best, most)
	return true
}

// priorityOrder is the order in which orders are best tried: by the value of a place for
// a day under mist, then the soonest.
func (d *solution) priorityOrder() []int {
	all := slices.Clone(d.all)
	worth := func(order int) float64 {
		j := d.jobs[order]
		if len(d.room) == 0 {
			return j.value
		}
		return j.value * float64(j.tray) / float64(max(1, j.stay))
	}
	slices.SortStableFunc(all, func(a, b int) int {
		return cmp.Or(cmp.Compare(worth(b), worth(a)), cmp.Compare(d.jobs[a].slots, d.jobs[b].slots))
	})
	return all
}

func (d *solution) insertAll(orders []int) {
	for _, order := range orders {
		d.insert(order, false)
	}
}

// compact makes what is still possible, puts lots of an order together, and moves
// lots to earlier days, until none of these can be done.
func (d *solution) compact() {
	for changed := true; changed; {
		changed = false
		for _, order := range d.priorityOrder() {
			before := d.short[order]
			d.insert(order, false)
			changed = changed || d.short[order] < before
			for slot, grafts := range d.lots[order] {
				if grafts > 0 && (d.join(order, slot) || d.advance(order, slot)) {
					changed = true
				}
			}
		}
	}
}

// join puts a lot with another of the same order.
func (d *solution) join(order, slot int) bool {
	for other, has := range d.lots[order] {
		if has > 0 && other != slot && d.move(order, slot, other) {
			return true
		}
	}
	return false
}

// advance moves a lot to the earliest day that takes all of it.
func (d *solution) advance(order, slot int) bool {
	for earlier := range slot {
		if d.move(order, slot, earlier) {
			return true
		}
	}
	return false
}

func (d *solution) move(order, from, to int) bool {
	grafts, short := d.lots[order][from], d.short[order]
	d.add(order, from, -grafts)
	d.short[order] = grafts // of which all have to fit
	fits := d.fits(order, to) == grafts
	d.short[order] = short + grafts
	if fits {
		d.add(order, to, grafts)
	} else {
		d.add(order, from, grafts)
	}
	return fits
}
