package schedule

import (
	"math"
	"slices"
)

// relaxed is the problem as a linear programme, in which trays may be divided.
//
// An order of n = K·t + r grafts fills K trays, and one with r. So for each day d
// that it can be grafted on there are two columns: F(d) trays of t grafts and P(d)
// trays of r, with
//
//	Σd F(i,d) ≤ K(i)    Σd P(i,d) ≤ 1    Σi t F(i,d) + r P(i,d) ≤ hands(d)
//
// which is sharper than grafts divided by t: the trays Y of an order hold no more
// than the least of t·Y, n and r·Y + K(t − r). Of the bed the free places s(e) are
// columns, and each row is the difference between a day and the one before, as in a
// network that time flows through:
//
//	arriving(e) − leaving(e) + s(e) − s(e−1) = room(e) − room(e−1)
//
// A plan with whole numbers of trays y(i,d) = F + P + E is branched towards, with E
// empty trays, which cost a place and hold nothing: a tray may be less full than the
// columns say, so that y alone has to be whole. A row for y is added where it is
// first branched on.
type relaxed struct {
	*problem
	programme
	scale    float64 // cost in the programme of a plant
	full     [][]int // column of F by order and choice; -1: none
	part     [][]int // column of P
	trays    [][]int // column of y; -1: no row yet
	bedDays  []int   // days of problem.room that have a row
	bedRow   []int   // row of each
	handsRow []int   // by choice; -1: no limit
	begin    []int   // basis to start with
}

// mostRows is how large a programme may be: with more it would be too slow to say
// anything.
const mostRows = 1500

// rows is how many the programme has at most before it is branched on.
func (p *problem) rows() int { return 2*len(p.jobs) + 2*len(p.days) + len(p.room) }

func newRelaxed(p *problem) *relaxed {
	r := &relaxed{problem: p}
	most := 0.0
	for _, j := range p.jobs {
		most = max(most, j.value*float64(j.tray))
	}
	r.scale = 1 / most
	r.limitHands()
	r.limitBed()
	empty := newDraft(p)
	for order := range p.jobs {
		r.enterOrder(empty, order)
	}
	r.start(r.begin)
	return r
}

// row adds a row with a column of its own for what is left of the right side.
func (r *relaxed) row(right, low, high float64) int {
	row := len(r.right)
	r.right = append(r.right, right)
	var rest column
	rest.enter(row, 1)
	rest.low, rest.high = low, high
	r.columns = append(r.columns, rest)
	r.begin = append(r.begin, len(r.columns)-1)
	return row
}

func (r *relaxed) limitHands() {
	for _, hands := range r.hands {
		row := -1
		if hands != boundless {
			row = r.row(float64(hands), 0, float64(hands))
		}
		r.handsRow = append(r.handsRow, row)
	}
}

// limitBed makes rows for days of the bed that say something: on others nothing can
// be grafted and there is no less room than on the day before.
func (r *relaxed) limitBed() {
	before := 0
	last := -1
	for day, room := range r.room {
		if _, is := slices.BinarySearch(r.days, day); !is && (day == 0 || room >= r.room[day-1]) {
			continue
		}
		row := r.row(float64(room-before), 0, float64(room))
		if last >= 0 {
			r.columns[last].enter(row, -1)
		}
		last, before = len(r.columns)-1, room
		r.bedDays = append(r.bedDays, day)
		r.bedRow = append(r.bedRow, row)
	}
}

// stand lets a column take a place of the bed.
func (r *relaxed) stand(c *column, order, choice int) {
	from, until := r.span(r.jobs[order], choice)
	first, _ := slices.BinarySearch(r.bedDays, from)
	end, _ := slices.BinarySearch(r.bedDays, until)
	if first == end {
		return
	}
	c.enter(r.bedRow[first], 1)
	if end < len(r.bedRow) {
		c.enter(r.bedRow[end], -1)
	}
}

func (r *relaxed) enterOrder(empty *draft, order int) {
	j := r.jobs[order]
	r.trays = append(r.trays, slices.Repeat([]int{-1}, j.choices))
	fulls, parts := slices.Repeat([]int{-1}, j.choices), slices.Repeat([]int{-1}, j.choices)
	r.full, r.part = append(r.full, fulls), append(r.part, parts)
	if j.grafts == 0 || j.choices == 0 {
		return
	}
	full, part := r.row(float64(j.grafts/j.tray), 0, float64(j.grafts/j.tray)), -1
	if j.grafts%j.tray > 0 {
		part = r.row(1, 0, 1)
	}
	for choice := range j.choices {
		places, hands := empty.places(order, choice), r.hands[choice]
		fulls[choice] = r.tray(order, choice, full, j.tray, min(places, j.grafts/j.tray), hands)
		if part >= 0 {
			parts[choice] = r.tray(order, choice, part, j.grafts%j.tray, min(places, 1), hands)
		}
	}
}

// tray adds a column of trays with so many grafts each.
func (r *relaxed) tray(order, choice, row, grafts, most, hands int) int {
	high := min(float64(most), float64(hands)/float64(grafts))
	if high == 0 {
		return -1
	}
	c := column{high: high, cost: -r.scale * r.jobs[order].value * float64(grafts)}
	// Early days come first among equal ones, and no two columns are quite equal.
	_, noise := math.Modf(float64(len(r.columns)) * 0.6180339887498949)
	c.nudge = -c.cost * 1e-7 * (float64(choice)/float64(len(r.days)) + noise)
	c.enter(row, 1)
	if r.handsRow[choice] >= 0 {
		c.enter(r.handsRow[choice], float64(grafts))
	}
	r.stand(&c, order, choice)
	r.columns = append(r.columns, c)
	return len(r.columns) - 1
}

// leftOut is a value that no plan within the bounds of the columns goes below.
func (r *relaxed) leftOut() float64 { return r.total + r.bound()/r.scale }

// grafts is how many the programme makes of an order on a day, in how many trays.
func (r *relaxed) grafts(order, choice int) (grafts, trays float64) {
	j := r.jobs[order]
	if c := r.full[order][choice]; c >= 0 {
		trays = r.at(c)
		grafts = trays * float64(j.tray)
	}
	if c := r.part[order][choice]; c >= 0 {
		x := r.at(c)
		trays += x
		grafts += x * float64(j.grafts%j.tray)
	}
	if c := r.trays[order][choice]; c >= 0 {
		trays = r.at(c)
	}
	return grafts, trays
}

// branchOn returns the column y of an order and a day, with a row for it. In the
// larger basis y stands for its row, so that values and costs stay as they are.
func (r *relaxed) branchOn(order, choice int) int {
	if c := r.trays[order][choice]; c >= 0 {
		return c
	}
	row := len(r.right)
	r.right = append(r.right, 0)
	last := make([]float64, row+1)
	enter := func(j int) {
		if j < 0 {
			return
		}
		r.columns[j].enter(row, 1)
		if at := r.rowOf[j]; at >= 0 {
			less(last[:row], r.inverse[at], -1)
		}
	}
	enter(r.full[order][choice])
	enter(r.part[order][choice])
	for i := range r.inverse {
		r.inverse[i] = append(r.inverse[i], 0)
	}
	last[row] = -1
	r.inverse = append(r.inverse, last)
	r.norm = append(r.norm, square(last))
	most := r.mostTrays(order, choice)
	empty := column{high: most}
	empty.enter(row, 1)
	r.stand(&empty, order, choice)
	whole := column{high: most}
	whole.enter(row, -1)
	r.columns = append(r.columns, empty, whole)
	c := len(r.columns) - 1
	r.rowOf = append(r.rowOf, atLow, row)
	r.basis = append(r.basis, c)
	r.along = append(r.along, 0, 0)
	r.trays[order][choice] = c
	r.price()
	return c
}

// mostTrays is how many trays of an order can be needed on a day.
func (r *relaxed) mostTrays(order, choice int) float64 {
	j := r.jobs[order]
	most := j.trays(min(j.grafts, r.hands[choice]))
	places := boundless
	if from, until := r.span(j, choice); from < until {
		places = slices.Min(r.room[from:until])
	}
	return float64(min(most, places))
}
