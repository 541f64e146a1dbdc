package schedule

import (
	"math"
	"slices"
)

// programme is a linear programme in which every column has bounds:
//
//	least Σ cost·x  with  Σ column·x = right side,  low ≤ x ≤ high
//
// It is solved by the dual simplex method. Since all columns have bounds, each
// basis is a start for it after any change of bounds, and any multipliers give a
// bound that holds whatever rounding did.
type programme struct {
	columns []column
	right   []float64
	basis   []int       // column by row
	rowOf   []int       // row of a column in the basis, else atLow or atHigh
	inverse [][]float64 // of the basis: row by row
	value   []float64   // of the column in the basis, by row
	reduced []float64   // cost of each column
	norm    []float64   // of each row of inverse, squared
	along   []float64   // of each column: what a step of the leaving row takes
	ahead   crossings   // room for them
	work    int         // numbers looked at, in all
}

// column has few entries: it enters its order, its day, and the bed twice.
type column struct {
	rows            [5]int32
	entries         [5]float64
	count           int
	cost, low, high float64
	nudge           float64 // added to cost so that columns do not tie
}

const (
	atLow  = -1
	atHigh = -2
	// steep is what may be divided by.
	steep = 1e-7
)

func (c *column) enter(row int, entry float64) {
	c.rows[c.count], c.entries[c.count] = int32(row), entry
	c.count++
}

// dot multiplies a column with numbers by row.
func (c *column) dot(rows []float64) float64 {
	sum := 0.0
	for i := range c.count {
		sum += c.entries[i] * rows[c.rows[i]]
	}
	return sum
}

// start takes a basis, one column for each row, and inverts it.
func (p *programme) start(basis []int) {
	p.basis = basis
	p.rowOf = slices.Repeat([]int{atLow}, len(p.columns))
	for row, j := range basis {
		p.rowOf[j] = row
	}
	p.along = make([]float64, len(p.columns))
	p.invert()
}

// invert works the inverse out anew.
func (p *programme) invert() {
	size := len(p.basis)
	from := make([][]float64, size)
	p.inverse = make([][]float64, size)
	for row := range from {
		from[row], p.inverse[row] = make([]float64, size), make([]float64, size)
		p.inverse[row][row] = 1
	}
	for place, j := range p.basis {
		c := &p.columns[j]
		for i := range c.count {
			from[c.rows[i]][place] = c.entries[i]
		}
	}
	for place := range size {
		pivot := place
		for row := place; row < size; row++ {
			if math.Abs(from[row][place]) > math.Abs(from[pivot][place]) {
				pivot = row
			}
		}
		from[place], from[pivot] = from[pivot], from[place]
		p.inverse[place], p.inverse[pivot] = p.inverse[pivot], p.inverse[place]
		scale := 1 / from[place][place]
		times(from[place], scale)
		times(p.inverse[place], scale)
		for row := range size {
			if factor := from[row][place]; row != place && factor != 0 {
				less(from[row], from[place], factor)
				less(p.inverse[row], p.inverse[place], factor)
				p.work += 2 * size
			}
		}
	}
	p.norm = make([]float64, size)
	for row := range size {
		p.norm[row] = square(p.inverse[row])
	}
	p.work += size * size
	p.price()
}

// price works reduced costs out anew.
func (p *programme) price() {
	multipliers := p.multipliers(true)
	p.reduced = slices.Grow(p.reduced[:0], len(p.columns))[:len(p.columns)]
	for j := range p.columns {
		c := &p.columns[j]
		p.reduced[j] = c.cost + c.nudge - c.dot(multipliers)
	}
	for _, j := range p.basis {
		p.reduced[j] = 0
	}
	p.work += 5 * len(p.columns)
}

// multipliers are what a unit of each row costs.
func (p *programme) multipliers(nudged bool) []float64 {
	all := make([]float64, len(p.basis))
	for row, j := range p.basis {
		cost := p.columns[j].cost
		if nudged {
			cost += p.columns[j].nudge
		}
		if cost != 0 {
			less(all, p.inverse[row], -cost)
		}
	}
	return all
}

// settle puts columns outside the basis on the bound that suits their cost, and
// works the values of those in it out anew.
func (p *programme) settle() {
	rest := slices.Clone(p.right)
	for j := range p.columns {
		c := &p.columns[j]
		if p.rowOf[j] >= 0 {
			continue
		}
		p.rowOf[j] = atLow
		if p.reduced[j] < 0 {
			p.rowOf[j] = atHigh
		}
		if x := p.at(j); x != 0 {
			for i := range c.count {
				rest[c.rows[i]] -= c.entries[i] * x
			}
		}
	}
	p.value = slices.Grow(p.value[:0], len(rest))[:len(rest)]
	for row := range p.basis {
		p.value[row] = product(p.inverse[row], rest)
	}
	p.work += len(rest)*len(rest) + 5*len(p.columns)
}

// at is the value of a column.
func (p *programme) at(j int) float64 {
	switch p.rowOf[j] {
	case atLow:
		return p.columns[j].low
	case atHigh:
		return p.columns[j].high
	}
	return p.value[p.rowOf[j]]
}

// bound is a cost that nothing within the bounds of the columns can go below. It
// holds for any multipliers: x times the reduced costs is the cost less multipliers
// times the right side.
func (p *programme) bound() float64 {
	multipliers := p.multipliers(false)
	sum := product(multipliers, p.right)
	for j := range p.columns {
		c := &p.columns[j]
		reduced := c.cost - c.dot(multipliers)
		sum += min(reduced*c.low, reduced*c.high)
	}
	return sum
}

// astray is how far the values are from the right side.
func (p *programme) astray() float64 {
	rest := slices.Clone(p.right)
	for j := range p.columns {
		c := &p.columns[j]
		if x := p.at(j); x != 0 {
			for i := range c.count {
				rest[c.rows[i]] -= c.entries[i] * x
			}
		}
	}
	most := 0.0
	for _, r := range rest {
		most = max(most, math.Abs(r))
	}
	return most
}
