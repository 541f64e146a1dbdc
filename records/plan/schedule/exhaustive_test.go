package schedule

import (
	"fmt"
	"math"
	"time"
)

// exhaustive tries all plans day by day and remembers what is best from each state on.
// It is written apart from the rest: it counts trays in the bed day by day, from the
// orders and limits as they were given.
type exhaustive struct {
	orders []Order
	limits Limits
	days   int
	known  map[string]objective
}

// bestOf returns the best that any plan can reach.
func bestOf(orders []Order, limits Limits) objective {
	e := exhaustive{orders: orders, limits: limits, known: map[string]objective{}}
	left := make([]int, len(orders))
	last := limits.First
	for i, o := range orders {
		left[i] = o.Grafts
		if o.Latest.After(last) {
			last = o.Latest
		}
	}
	e.days = int(last.Sub(limits.First)/(24*time.Hour)) + 1
	for _, a := range limits.Arriving {
		e.days = max(e.days, int(a.Day.Sub(limits.First)/(24*time.Hour))+1)
	}
	bed := make([]int, e.days)
	for day := range bed {
		for _, s := range limits.Standing {
			if e.date(day).Before(s.Until) {
				bed[day] += s.Trays
			}
		}
		for _, a := range limits.Arriving {
			if !e.date(day).Before(a.Day) && e.date(day).Before(a.Day.AddDate(0, 0, a.Stay)) {
				bed[day] += a.Trays
			}
		}
	}
	return e.from(0, 0, left, bed, e.hands(0))
}

func (e *exhaustive) date(day int) time.Time { return e.limits.First.AddDate(0, 0, day) }

func (e *exhaustive) hands(day int) int {
	if e.limits.Off != nil && e.limits.Off(e.date(day)) {
		return 0
	}
	if e.limits.GraftsADay == 0 {
		return math.MaxInt
	}
	hands := e.limits.GraftsADay
	for _, a := range e.limits.Arriving {
		if a.Day.Equal(e.date(day)) {
			hands -= a.Grafts
		}
	}
	return hands
}

// from is the best from an order on a day on.
func (e *exhaustive) from(day, order int, left, bed []int, hands int) objective {
	if day == e.days {
		s := objective{}
		for i, o := range e.orders {
			value := o.Value
			if value == 0 {
				value = 1
			}
			s.left += float64(left[i]) * value
		}
		return s
	}
	if order == len(e.orders) {
		if day+1 == e.days {
			return e.from(day+1, 0, left, bed, 0)
		}
		return e.from(day+1, 0, left, bed, e.hands(day+1))
	}
	key := fmt.Sprint(day, order, left, bed[day:], hands)
	if s, is := e.known[key]; is {
		return s
	}
	best := e.from(day, order+1, left, bed, hands)
	o := e.orders[order]
	for grafts := 1; grafts <= min(left[order], hands) && !e.date(day).After(o.Latest); grafts++ {
		trays := 1
		if o.TraySize > 0 {
			trays = int(math.Ceil(float64(grafts) / float64(o.TraySize)))
		}
		then, rest, fits := append([]int(nil), bed...), append([]int(nil), left...), true
		for stands := day; stands < min(day+o.Stay, e.days); stands++ {
			then[stands] += trays
			fits = fits && (e.limits.BedSpaces == 0 || then[stands] <= e.limits.BedSpaces)
		}
		if !fits {
			break
		}
		rest[order] -= grafts
		after := hands
		if e.limits.GraftsADay > 0 {
			after -= grafts
		}
		s := e.from(day, order+1, rest, then, after)
		s.lots++
		s.late += grafts * day
		if s.compare(best, 1e-9) < 0 {
			best = s
		}
	}
	e.known[key] = best
	return best
}
