package schedule

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
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
	room        []int
	jobs        []job
	all         []int   // the indices of jobs
	grafts      int     // of all jobs
	total       float64 // value of all grafts
	granularity float64 // every value is a multiple of it; 0 if none is known
}

type job struct {
	grafts, tray, stay int
	slots              int // the first so many of problem.days are early enough
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
	for i, o := range orders {
		p.jobs, p.all = append(p.jobs, p.job(o)), append(p.all, i)
		p.grafts += o.Grafts
		p.total += float64(o.Grafts) * p.jobs[len(p.jobs)-1].value
	}
	p.granularity = granularityOf(p.jobs)
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
	if limits.BedSpaces == 0 {
		return nil
	}
	for _, a := range limits.Arriving {
		last = max(last, dayNumber(a.Day)-first)
	}
	room := slices.Repeat([]int{limits.BedSpaces}, last+1)
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
// more than hands can fill in a day: to say so makes the linear program sharper.
func (p *problem) job(o Order) job {
	latest := dayNumber(o.Latest) - p.first
	slots, _ := slices.BinarySearch(p.days, latest+1)
	j := job{grafts: o.Grafts, stay: o.Stay, slots: slots, value: cmp.Or(o.Value, 1)}
	j.tray = min(cmp.Or(o.TraySize, o.Grafts), o.Grafts)
	if slots > 0 {
		j.tray = min(j.tray, slices.Max(p.hands[:slots]))
	}
	j.tray = max(1, j.tray)
	return j
}

// span is the part of problem.room that a tray takes which is grafted on a slot.
func (p *problem) span(j job, slot int) (from, until int) {
	from = p.days[slot]
	return min(from, len(p.room)), min(from+j.stay, len(p.room))
}

// trays is how many a lot needs.
func (j job) trays(grafts int) int { return (grafts + j.tray - 1) / j.tray }

// granularityOf finds a number of which all values are multiples, if it is not tiny.
// What is left out is a multiple of it too.
func granularityOf(jobs []job) float64 {
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

// longest is how many days ahead something may be, and stand: three years.
const longest = 1096

// most is the largest number of grafts, trays or days. It keeps sums exact.
const most = 1_000_000

// mostSlots is how many days all orders together may choose from.
const mostSlots = 100_000

// checker keeps the first fault.
type checker struct{ fault error }

func (c *checker) require(right bool, where, format string, parts ...any) {
	if c.fault == nil && !right {
		c.fault = fmt.Errorf("%s: %s", where, fmt.Sprintf(format, parts...))
	}
}

func (c *checker) number(where, what string, n, most int) {
	c.require(n >= 0 && n <= most, where, "%d %s, want 0 to %d", n, what, most)
}

func (c *checker) day(where, what string, day, first time.Time) {
	c.require(!day.IsZero(), where, "no %s", what)
	c.require(dayNumber(day)-dayNumber(first) <= longest, where, "%s %s is more than three years after the first day", what, written(day))
}

func check(orders []Order, limits Limits) error {
	var c checker
	c.require(!limits.First.IsZero(), "limits", "no first day")
	c.number("limits", "places", limits.BedSpaces, most)
	c.number("limits", "grafts a day", limits.GraftsADay, most)
	for i, s := range limits.Standing {
		where := fmt.Sprintf("standing trays %d", i+1)
		c.number(where, "trays", s.Trays, most)
		c.day(where, "day on which they leave", s.Until, limits.First)
	}
	for i, a := range limits.Arriving {
		where := fmt.Sprintf("arriving trays %d", i+1)
		c.number(where, "trays", a.Trays, most)
		c.number(where, "grafts", a.Grafts, most)
		c.number(where, "days under mist", a.Stay, longest)
		c.day(where, "day", a.Day, limits.First)
	}
	days := 0
	for i, o := range orders {
		where := fmt.Sprintf("order %d", i+1)
		c.number(where, "grafts", o.Grafts, most)
		c.number(where, "grafts a tray", o.TraySize, most)
		c.number(where, "days under mist", o.Stay, longest)
		c.day(where, "last day", o.Latest, limits.First)
		c.require(o.Value == 0 || o.Value >= 1/float64(most) && o.Value <= most, where,
			"a value of %v plants for each graft, want 0 or %v to %d", o.Value, 1/float64(most), most)
		days += max(0, dayNumber(o.Latest)-dayNumber(limits.First)+1)
		c.require(days <= mostSlots, where,
			"with those before it there are more than %d days to choose from; plan a shorter time, or fewer orders at once", mostSlots)
	}
	return c.fault
}

// dayNumber counts days from 1970-01-01.
func dayNumber(t time.Time) int {
	return int(math.Floor(float64(time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix()) / 86400))
}

// dayOf returns midnight UTC.
func dayOf(number int) time.Time {
	return time.Date(1970, 1, 1+number, 0, 0, 0, 0, time.UTC)
}
