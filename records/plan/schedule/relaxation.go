package schedule

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// relaxation is the problem as a linear program, in which trays may be divided.
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
type relaxation struct {
	*problem
	linearProgram
	scale    float64 // cost in the program of a plant
	full     [][]int // column of F by order and slot; -1: none
	part     [][]int // column of P
	trays    [][]int // column of y; -1: no row yet
	bedDays  []int   // days of problem.room that have a row
	bedRow   []int   // row of each
	handsRow []int   // by slot; -1: no limit
	begin    []int   // basis to start with
}

// mostRows is how large a program may be: with more it would be too slow to say
// anything.
const mostRows = 1500

// rows is how many the program has at most before it is branched on.
func (p *problem) rows() int { return 2*len(p.jobs) + 2*len(p.days) + len(p.room) }

func newRelaxation(p *problem) *relaxation {
	r := &relaxation{problem: p}
	most := 0.0
	for _, j := range p.jobs {
		most = max(most, j.value*float64(j.tray))
	}
	r.scale = 1 / most
	r.limitHands()
	r.limitBed()
	empty := newSolution(p)
	for order := range p.jobs {
		r.enterOrder(empty, order)
	}
	r.start(r.begin)
	return r
}

// row adds a row with a column of its own for what is left of the right side.
func (r *relaxation) row(right, low, high float64) int {
	row := len(r.right)
	r.right = append(r.right, right)
	var rest column
	rest.enter(row, 1)
	rest.low, rest.high = low, high
	r.columns = append(r.columns, rest)
	r.begin = append(r.begin, len(r.columns)-1)
	return row
}

func (r *relaxation) limitHands() {
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
func (r *relaxation) limitBed() {
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
func (r *relaxation) stand(c *column, order, slot int) {
	from, until := r.span(r.jobs[order], slot)
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

func (r *relaxation) enterOrder(empty *solution, order int) {
	j := r.jobs[order]
	r.trays = append(r.trays, slices.Repeat([]int{-1}, j.slots))
	fulls, parts := slices.Repeat([]int{-1}, j.slots), slices.Repeat([]int{-1}, j.slots)
	r.full, r.part = append(r.full, fulls), append(r.part, parts)
	if j.grafts == 0 || j.slots == 0 {
		return
	}
	full, part := r.row(float64(j.grafts/j.tray), 0, float64(j.grafts/j.tray)), -1
	if j.grafts%j.tray > 0 {
		part = r.row(1, 0, 1)
	}
	for slot := range j.slots {
		places, hands := empty.places(order, slot), r.hands[slot]
		fulls[slot] = r.tray(order, slot, full, j.tray, min(places, j.grafts/j.tray), hands)
		if part >= 0 {
			parts[slot] = r.tray(order, slot, part, j.grafts%j.tray, min(places, 1), hands)
		}
	}
}

// tray adds a column of trays with so many grafts each.
func (r *relaxation) tray(order, slot, row, grafts, most, hands int) int {
	high := min(float64(most), float64(hands)/float64(grafts))
	if high == 0 {
		return -1
	}
	c := column{high: high, cost: -r.scale * r.jobs[order].value * float64(grafts)}
	// Early days come first among equal ones, and no two columns are quite equal.
	_, noise := math.Modf(float64(len(r.columns)) * 0.6180339887498949)
	c.perturbation = -c.cost * 1e-7 * (float64(slot)/float64(len(r.days)) + noise)
	c.enter(row, 1)
	if r.handsRow[slot] >= 0 {
		c.enter(r.handsRow[slot], float64(grafts))
	}
	r.stand(&c, order, slot)
	r.columns = append(r.columns, c)
	return len(r.columns) - 1
}

// lowerBound is a value that no plan within the bounds of the columns goes below.
func (r *relaxation) lowerBound() float64 { return r.total + r.bound()/r.scale }

// grafts is how many the program makes of an order on a day, in how many trays.
func (r *relaxation) grafts(order, slot int) (grafts, trays float64) {
	j := r.jobs[order]
	if c := r.full[order][slot]; c >= 0 {
		trays = r.at(c)
		grafts = trays * float64(j.tray)
	}
	if c := r.part[order][slot]; c >= 0 {
		x := r.at(c)
		trays += x
		grafts += x * float64(j.grafts%j.tray)
	}
	if c := r.trays[order][slot]; c >= 0 {
		trays = r.at(c)
	}
	return grafts, trays
}

// branchOn returns the column y of an order and a day, with a row for it. In the
// larger basis y stands for its row, so that values and costs stay as they are.
func (r *relaxation) branchOn(order, slot int) int {
	if c := r.trays[order][slot]; c >= 0 {
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
			floats.Add(last[:row], r.inverse[at])
		}
	}
	enter(r.full[order][slot])
	enter(r.part[order][slot])
	for i := range r.inverse {
		r.inverse[i] = append(r.inverse[i], 0)
	}
	last[row] = -1
	r.inverse = append(r.inverse, last)
	r.rowNorm = append(r.rowNorm, floats.Dot(last, last))
	most := r.mostTrays(order, slot)
	empty := column{high: most}
	empty.enter(row, 1)
	r.stand(&empty, order, slot)
	whole := column{high: most}
	whole.enter(row, -1)
	r.columns = append(r.columns, empty, whole)
	c := len(r.columns) - 1
	r.rowOf = append(r.rowOf, atLow, row)
	r.basis = append(r.basis, c)
	r.pivotRow = append(r.pivotRow, 0, 0)
	r.trays[order][slot] = c
	r.computeReducedCosts()
	return c
}

// mostTrays is how many trays of an order can be needed on a day.
func (r *relaxation) mostTrays(order, slot int) float64 {
	j := r.jobs[order]
	most := j.trays(min(j.grafts, r.hands[slot]))
	places := boundless
	if from, until := r.span(j, slot); from < until {
		places = slices.Min(r.room[from:until])
	}
	return float64(min(most, places))
}

// shadowPrices are what a place and a graft cost on each day, by the linear program: what
// others lose if an order takes them. They lead the search to days that are cheap.
type shadowPrices struct {
	tray  [][]float64 // of a tray's whole stay, by order and slot
	graft []float64   // by slot
}

func (r *relaxation) shadowPrices() *shadowPrices {
	rows := r.multipliers(false)
	floats.Scale(-1/r.scale, rows)
	p := &shadowPrices{graft: make([]float64, len(r.days))}
	for slot, row := range r.handsRow {
		if row >= 0 {
			p.graft[slot] = max(0, rows[row])
		}
	}
	for order, j := range r.jobs {
		p.tray = append(p.tray, make([]float64, j.slots))
		for slot := range j.slots {
			var place column
			r.stand(&place, order, slot)
			p.tray[order][slot] = max(0, place.dot(rows))
		}
	}
	return p
}

// insertPriced makes what is short of an order on the days on which it gains the most
// over what others lose, as long as it gains.
func (d *solution) insertPriced(order int, p *shadowPrices) {
	j := d.jobs[order]
	for d.short[order] > 0 {
		best, most, gain := -1, 0, 1e-9
		for slot := range j.slots {
			fits := d.fits(order, slot)
			if fits == 0 {
				continue
			}
			has := d.lots[order][slot]
			// All that fits, or what fills trays.
			for _, grafts := range [2]int{fits, (has+fits)/j.tray*j.tray - has} {
				if grafts <= 0 {
					continue
				}
				trays := float64(j.trays(has+grafts) - j.trays(has))
				if g := float64(grafts)*(j.value-p.graft[slot]) - trays*p.tray[order][slot]; g > gain*(1+1e-9) {
					best, most, gain = slot, grafts, g
				}
			}
		}
		if best < 0 {
			return
		}
		d.add(order, best, most)
	}
}
