package schedule

import (
	"cmp"
	"math"
	"slices"
)

// rounded is a plan near to the programme's values: trays rounded down and filled as
// well as can be, then what still fits. Where no tray is divided it leaves out no
// more than the programme does.
func (r *relaxed) rounded() *draft {
	d := newDraft(r.problem)
	holds := make([][]int, len(r.jobs))
	for order, j := range r.jobs {
		holds[order] = make([]int, j.choices)
		for choice := range j.choices {
			_, trays := r.grafts(order, choice)
			if len(r.room) == 0 {
				trays = math.Ceil(trays - 1e-6)
			}
			holds[order][choice] = int(math.Floor(trays+1e-6)) * j.tray
		}
	}
	d.fill(holds)
	d.insertAll(d.byValue())
	return d
}

// fill makes as much of the value as trays hold that stand ready, for each order
// and day so many grafts. It takes orders by their value and lets each push others
// to other days of theirs, as long as they lose nothing: since only the order counts
// for the value, not the day, no filling is worth more (a polymatroid).
func (d *draft) fill(holds [][]int) {
	orders := make([]int, len(d.jobs))
	for i := range orders {
		orders[i] = i
	}
	slices.SortStableFunc(orders, func(a, b int) int { return cmp.Compare(d.jobs[b].value, d.jobs[a].value) })
	for _, order := range orders {
		for choice := range d.jobs[order].choices {
			if grafts := min(d.short[order], d.hands[choice], holds[order][choice]); grafts > 0 {
				d.add(order, choice, grafts)
			}
		}
		for d.short[order] > 0 && d.push(order, holds) {
		}
	}
}

// push makes more of an order along the shortest chain: it takes hands on a day from
// another order, which takes them on another day, and so on to a day with hands left.
func (d *draft) push(order int, holds [][]int) bool {
	const unknown, source = -2, -1
	dayFrom := slices.Repeat([]int{unknown}, len(d.days)) // the order that asks for the day
	orderFrom := slices.Repeat([]int{unknown}, len(d.jobs))
	orderFrom[order] = source // else the day that it would give up
	queue := []int{order}
	for len(queue) > 0 {
		asking := queue[0]
		queue = queue[1:]
		for choice, hold := range holds[asking] {
			if dayFrom[choice] != unknown || d.pieces[asking][choice] >= hold {
				continue
			}
			dayFrom[choice] = asking
			if d.hands[choice] > 0 {
				d.shift(order, choice, dayFrom, orderFrom, holds)
				return true
			}
			for other := range d.jobs {
				if orderFrom[other] == unknown && choice < d.jobs[other].choices && d.pieces[other][choice] > 0 {
					orderFrom[other] = choice
					queue = append(queue, other)
				}
			}
		}
	}
	return false
}

// shift moves as many grafts along a chain as each part of it allows.
func (d *draft) shift(order, last int, dayFrom, orderFrom []int, holds [][]int) {
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
		grafts = min(grafts, holds[asking][gains]-d.pieces[asking][gains])
		if asking != order {
			grafts = min(grafts, d.pieces[asking][gives])
		}
	})
	chain(func(asking, gains, gives int) {
		d.add(asking, gains, grafts)
		if asking != order {
			d.add(asking, gives, -grafts)
		}
	})
}
