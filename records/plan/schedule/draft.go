package schedule

import "slices"

// draft is a plan while it is made. It always keeps all limits.
type draft struct {
	*problem
	pieces [][]int // grafts by order and choice of day
	short  []int   // grafts of each order that are not made
	room   []int   // that is left, as problem.room
	hands  []int   // that are left, as problem.hands
	looks  int     // days looked at, in all
}

func newDraft(p *problem) *draft {
	d := &draft{problem: p, room: slices.Clone(p.room), hands: slices.Clone(p.hands)}
	for _, j := range p.jobs {
		d.pieces = append(d.pieces, make([]int, j.choices))
		d.short = append(d.short, j.grafts)
	}
	return d
}

func (d *draft) clone() *draft {
	c := &draft{problem: d.problem, room: slices.Clone(d.room), hands: slices.Clone(d.hands), short: slices.Clone(d.short)}
	for _, p := range d.pieces {
		c.pieces = append(c.pieces, slices.Clone(p))
	}
	return c
}

// copy takes another draft of the same problem over.
func (d *draft) copy(from *draft) {
	for order, pieces := range from.pieces {
		copy(d.pieces[order], pieces)
	}
	copy(d.short, from.short)
	copy(d.room, from.room)
	copy(d.hands, from.hands)
}

// wanted is how many grafts all orders have.
func (p *problem) wanted() int {
	n := 0
	for _, j := range p.jobs {
		n += j.grafts
	}
	return n
}

// add makes so many more grafts of an order on a day, or fewer if it is negative.
func (d *draft) add(order, choice, grafts int) {
	j := d.jobs[order]
	before := d.pieces[order][choice]
	d.pieces[order][choice] += grafts
	d.short[order] -= grafts
	if d.hands[choice] != boundless {
		d.hands[choice] -= grafts
	}
	if trays := j.trays(before+grafts) - j.trays(before); trays != 0 {
		from, until := d.span(j, choice)
		for day := from; day < until; day++ {
			d.room[day] -= trays
		}
	}
}

// places is how many more trays of an order the bed takes from a day.
func (d *draft) places(order, choice int) int {
	from, until := d.span(d.jobs[order], choice)
	d.looks += until - from + 1
	least := boundless
	for _, room := range d.room[from:until] {
		least = min(least, room)
	}
	return least
}

// fits is how many more grafts of an order can be made on a day, of those short.
func (d *draft) fits(order, choice int) int {
	wanted := min(d.short[order], d.hands[choice])
	if wanted == 0 {
		return 0
	}
	j, has := d.jobs[order], d.pieces[order][choice]
	open := j.trays(has)*j.tray - has // in a tray that is part full
	if wanted <= open {
		return wanted
	}
	return min(wanted, open+d.places(order, choice)*j.tray)
}

// clear takes an order out and returns what it was.
func (d *draft) clear(order int, was []int) []int {
	was = append(was[:0], d.pieces[order]...)
	for choice, grafts := range was {
		if grafts > 0 {
			d.add(order, choice, -grafts)
		}
	}
	return was
}
