package schedule

import (
	"cmp"
	"slices"
)

// insert makes what is short of an order: on the earliest day that takes all, else
// as many as can be on one day, and so on. Where sparing is set, of the days that
// take as many it prefers the one with the fewest hands left over.
func (d *draft) insert(order int, sparing bool) {
	for d.insertPiece(order, sparing) && d.short[order] > 0 {
	}
}

func (d *draft) insertPiece(order int, sparing bool) bool {
	best, most, left := -1, 0, 0
	enough := min(d.short[order], d.most)
	d.looks += d.jobs[order].choices
	for choice := range d.jobs[order].choices {
		fits := d.fits(order, choice)
		over := d.hands[choice] - fits
		if fits > most || sparing && fits > 0 && fits == most && over < left {
			best, most, left = choice, fits, over
		}
		if !sparing && most == enough {
			break
		}
	}
	if best < 0 {
		return false
	}
	d.add(order, best, most)
	return true
}

// byValue is the order in which orders are best tried: by the value of a place for
// a day under mist, then the soonest.
func (d *draft) byValue() []int {
	all := make([]int, len(d.jobs))
	for i := range all {
		all[i] = i
	}
	worth := func(order int) float64 {
		j := d.jobs[order]
		if len(d.room) == 0 {
			return j.value
		}
		return j.value * float64(j.tray) / float64(max(1, j.stay))
	}
	slices.SortStableFunc(all, func(a, b int) int {
		return cmp.Or(cmp.Compare(worth(b), worth(a)), cmp.Compare(d.jobs[a].choices, d.jobs[b].choices))
	})
	return all
}

func (d *draft) insertAll(orders []int) {
	for _, order := range orders {
		d.insert(order, false)
	}
}
