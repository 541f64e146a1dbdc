package schedule

import (
	"cmp"
	"math"
	"slices"
)

// boundless stands for no limit of places or hands.
const boundless = math.MaxInt32

// problem is what is asked, in numbers: days count from First, orders keep their
// index.
type problem struct {
	first int   // day number of First
	days  []int // on which somebody grafts
	hands []int // grafts that can be made on each of these
	most  int   // of hands
	// room is how many trays the bed still takes on each day from First, days off
	// too; empty if there is no limit. It ends with the last day on which trays
	// come: from then on there can only be more.
	room  []int
	jobs  []job
	total float64 // value of all grafts
	grain float64 // every value is a multiple of it; 0 if none is known
}

type job struct {
	grafts, tray, stay int
	choices            int // the first so many of problem.days are early enough
	value              float64
}

func newProblem(orders []Order, limits Limits) (*problem, error) {
	if err := check(orders, limits); err != nil {
		return nil, err
	}
	p := &problem{first: dayNumber(limits.First)}
	last := -1
	for _, o := range orders {
		if o.Grafts > 0 {
			last = max(last, dayNumber(o.Latest)-p.first)
		}
	}
	for day := range last + 1 {
		if limits.Off == nil || !limits.Off(dayOf(p.first+day)) {
			p.days = append(p.days, day)
			p.hands = append(p.hands, cmp.Or(limits.GraftsADay, boundless))
		}
	}
	p.takeHands(limits)
	for _, hands := range p.hands {
		p.most = max(p.most, hands)
	}
	p.room = roomOf(limits, p.first, last)
	for _, o := range orders {
		p.jobs = append(p.jobs, p.job(o))
		p.total += float64(o.Grafts) * p.jobs[len(p.jobs)-1].value
	}
	p.grain = grainOf(p.jobs)
	return p, nil
}

// takeHands takes off what arriving trays need.
func (p *problem) takeHands(limits Limits) {
	if limits.GraftsADay == 0 {
		return
	}
	for _, a := range limits.Arriving {
		if at, is := slices.BinarySearch(p.days, dayNumber(a.Day)-p.first); is {
			p.hands[at] = max(0, p.hands[at]-a.Grafts)
		}
	}
}

// roomOf returns places less standing and arriving trays, never below none.
func roomOf(limits Limits, first, last int) []int {
	if limits.Places == 0 {
		return nil
	}
	for _, a := range limits.Arriving {
		last = max(last, dayNumber(a.Day)-first)
	}
	room := slices.Repeat([]int{limits.Places}, last+1)
	take := func(trays, from, until int) {
		for day := max(0, from); day < min(until, len(room)); day++ {
			room[day] -= trays
		}
	}
	for _, s := range limits.Standing {
		take(s.Trays, 0, dayNumber(s.Until)-first)
	}
	for _, a := range limits.Arriving {
		from := dayNumber(a.Day) - first
		take(a.Trays, from, from+a.Stay)
	}
	for day := range room {
		room[day] = max(0, room[day])
	}
	return room
}

// job turns an order into numbers. A tray never holds more than the order has, nor
// more than hands can fill in a day: to say so makes the linear programme sharper.
func (p *problem) job(o Order) job {
	latest := dayNumber(o.Latest) - p.first
	choices, _ := slices.BinarySearch(p.days, latest+1)
	j := job{grafts: o.Grafts, stay: o.Stay, choices: choices, value: cmp.Or(o.Value, 1)}
	j.tray = min(cmp.Or(o.TraySize, o.Grafts), o.Grafts)
	if choices > 0 {
		j.tray = min(j.tray, slices.Max(p.hands[:choices]))
	}
	j.tray = max(1, j.tray)
	return j
}

// span is the part of problem.room that a tray takes which is grafted on a choice.
func (p *problem) span(j job, choice int) (from, until int) {
	from = p.days[choice]
	return min(from, len(p.room)), min(from+j.stay, len(p.room))
}

// trays is how many a piece needs.
func (j job) trays(grafts int) int { return (grafts + j.tray - 1) / j.tray }

// grainOf finds a number of which all values are multiples, if it is not tiny.
// What is left out is a multiple of it too.
func grainOf(jobs []job) float64 {
	const finest = 1e6 // parts of a plant
	common := 0
	for _, j := range jobs {
		parts := math.Round(j.value * finest)
		if math.Abs(parts-j.value*finest) > 1e-6 {
			return 0
		}
		common = divisor(common, int(parts))
	}
	return float64(common) / finest
}

func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
