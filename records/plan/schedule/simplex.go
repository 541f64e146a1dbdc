package schedule

import (
	"context"
	"math"
)

type outcome int

const (
	solved outcome = iota
	impossible
	unclear // impossible by the steps taken, but rounding may have a part in it
	stopped // too much work, or ctx ended
)

// solve steps until no value in the basis is outside its bounds.
func (p *programme) solve(ctx context.Context, mostWork int) outcome {
	p.settle()
	for step := 1; ; step++ {
		if step%64 == 0 && p.astray() > 1e-6 {
			p.invert()
			p.settle()
		}
		if p.work > mostWork || ctx.Err() != nil {
			return stopped
		}
		row, missing := p.leaving()
		if row < 0 {
			return solved
		}
		if !p.step(row, missing) {
			if p.barred(row) {
				return impossible
			}
			return unclear
		}
	}
}

// barred tells whether the rows, each times its number in a row of the inverse, add
// up to what no values within bounds reach. That holds whatever the numbers are.
func (p *programme) barred(row int) bool {
	edge := p.inverse[row]
	least, most := 0.0, 0.0
	for j := range p.columns {
		c := &p.columns[j]
		along := c.dot(edge)
		least += min(along*c.low, along*c.high)
		most += max(along*c.low, along*c.high)
	}
	right := product(edge, p.right)
	return right < least-steep || right > most+steep
}

// leaving is the row whose value is the furthest outside its bounds, measured along
// its edge; missing is negative if it is too low.
func (p *programme) leaving() (row int, missing float64) {
	row, worst := -1, 0.0
	for r, j := range p.basis {
		c := &p.columns[j]
		out := 0.0
		if x := p.value[r]; x < c.low-1e-8 {
			out = x - c.low
		} else if x > c.high+1e-8 {
			out = x - c.high
		} else {
			continue
		}
		if measure := out * out / p.norm[r]; measure > worst {
			row, worst, missing = r, measure, out
		}
	}
	return row, missing
}

// step takes the column of a row out of the basis. It returns false if no values
// within bounds can mend the row.
func (p *programme) step(row int, missing float64) bool {
	direction := 1.0
	if missing < 0 {
		direction = -1
	}
	ahead := p.crossings(row, direction)
	entering := -1
	var flips []int
	slope := math.Abs(missing)
	for len(ahead) > 0 {
		next := ahead.pop()
		along := math.Abs(p.along[next.column])
		slope -= along * (p.columns[next.column].high - p.columns[next.column].low)
		if entering >= 0 {
			flips = append(flips, entering)
		}
		if entering = next.column; slope < 0 {
			break
		}
	}
	if entering < 0 || slope > 1e-8 {
		return false
	}
	p.flip(flips)
	p.pivot(row, entering, missing)
	return true
}

// crossings are those of all columns that can mend a row.
func (p *programme) crossings(row int, direction float64) crossings {
	edge := p.inverse[row]
	all := p.ahead[:0]
	for j := range p.columns {
		if p.rowOf[j] >= 0 {
			continue
		}
		c := &p.columns[j]
		along := c.dot(edge)
		p.along[j] = along
		if along *= direction; p.rowOf[j] == atHigh {
			along = -along
		}
		if along > steep && c.low != c.high {
			all = append(all, crossing{j, math.Abs(p.reduced[j]) / along})
		}
	}
	p.ahead = all
	all.order()
	p.work += 10 * len(p.columns)
	return all
}

// flip moves columns from one bound to the other.
func (p *programme) flip(columns []int) {
	if len(columns) == 0 {
		return
	}
	change := make([]float64, len(p.value))
	for _, j := range columns {
		c := &p.columns[j]
		step := c.high - c.low
		if p.rowOf[j] == atHigh {
			p.rowOf[j], step = atLow, -step
		} else {
			p.rowOf[j] = atHigh
		}
		for i := range c.count {
			change[c.rows[i]] += step * c.entries[i]
		}
	}
	var rows []int
	for row, x := range change {
		if x != 0 {
			rows = append(rows, row)
		}
	}
	for at, inverse := range p.inverse {
		sum := 0.0
		for _, row := range rows {
			sum += inverse[row] * change[row]
		}
		p.value[at] -= sum
	}
	p.work += len(p.value) * len(rows)
}

// pivot puts a column into the basis for that of a row, which goes to the bound
// that it was outside of.
func (p *programme) pivot(row, entering int, missing float64) {
	leaving := p.basis[row]
	c := &p.columns[entering]
	up := make([]float64, len(p.basis))
	for r := range up {
		up[r] = c.dot(p.inverse[r])
	}
	goal, place := p.columns[leaving].low, atLow
	if missing > 0 {
		goal, place = p.columns[leaving].high, atHigh
	}
	change := (p.value[row] - goal) / up[row]
	x := p.at(entering) + change
	ratio := p.reduced[entering] / p.along[entering]
	for j := range p.columns {
		if p.rowOf[j] < 0 && p.along[j] != 0 {
			p.reduced[j] -= ratio * p.along[j]
		}
	}
	p.reduced[entering], p.reduced[leaving] = 0, -ratio
	times(p.inverse[row], 1/up[row])
	p.norm[row] = square(p.inverse[row])
	for r := range up {
		if r != row && math.Abs(up[r]) > 1e-13 {
			p.value[r] -= change * up[r]
			p.norm[r] = less(p.inverse[r], p.inverse[row], up[r])
			p.work += 2 * len(up)
		}
	}
	p.value[row] = x
	p.basis[row], p.rowOf[entering], p.rowOf[leaving] = entering, row, place
	p.work += 5*len(up) + 3*len(p.columns)
}

func product(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

func square(a []float64) float64 { return product(a, a) }

func times(a []float64, factor float64) {
	for i := range a {
		a[i] *= factor
	}
}

// less takes b times a factor from a, and returns the square of what is left.
func less(a, b []float64, factor float64) float64 {
	b = b[:len(a)]
	even, odd := 0.0, 0.0
	at := 0
	for ; at+1 < len(a); at += 2 {
		x, y := a[at]-factor*b[at], a[at+1]-factor*b[at+1]
		a[at], a[at+1] = x, y
		even += x * x
		odd += y * y
	}
	if at < len(a) {
		a[at] -= factor * b[at]
		even += a[at] * a[at]
	}
	return even + odd
}
