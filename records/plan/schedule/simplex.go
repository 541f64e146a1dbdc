package schedule

import (
	"context"
	"math"
	"slices"
)

type outcome int

const (
	optimal outcome = iota
	infeasible
	uncertain // infeasible by the steps taken, but rounding may have a part in it
	outOfWork // too much work, or ctx ended
)

// solve steps until no value in the basis is outside its bounds.
func (p *linearProgram) solve(ctx context.Context, mostWork int) outcome {
	p.computeValues()
	for step := 1; ; step++ {
		if step%64 == 0 && p.residual() > 1e-6 {
			p.refactorize()
			p.computeValues()
		}
		if p.work > mostWork || ctx.Err() != nil {
			return outOfWork
		}
		row, missing := p.leavingRow()
		if row < 0 {
			return optimal
		}
		if !p.step(row, missing) {
			if p.provesInfeasible(row) {
				return infeasible
			}
			return uncertain
		}
	}
}

// provesInfeasible tells whether the rows, each times its number in a row of the inverse, add
// up to what no values within bounds reach. That holds whatever the numbers are.
func (p *linearProgram) provesInfeasible(row int) bool {
	edge := p.inverse[row]
	least, most := 0.0, 0.0
	for j := range p.columns {
		c := &p.columns[j]
		along := c.dot(edge)
		least += min(along*c.low, along*c.high)
		most += max(along*c.low, along*c.high)
	}
	right := product(edge, p.right)
	return right < least-pivotTolerance || right > most+pivotTolerance
}

// leavingRow is the row whose value is the furthest outside its bounds, measured along
// its edge; missing is negative if it is too low.
func (p *linearProgram) leavingRow() (row int, missing float64) {
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
		if measure := out * out / p.rowNorm[r]; measure > worst {
			row, worst, missing = r, measure, out
		}
	}
	return row, missing
}

// step takes the column of a row out of the basis. It returns false if no values
// within bounds can mend the row.
func (p *linearProgram) step(row int, missing float64) bool {
	direction := 1.0
	if missing < 0 {
		direction = -1
	}
	breaks := p.breakpoints(row, direction)
	entering := -1
	var flips []int
	slope := math.Abs(missing)
	for len(breaks) > 0 {
		next := breaks.pop()
		along := math.Abs(p.pivotRow[next.column])
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
	p.flipBounds(flips)
	p.pivot(row, entering, missing)
	return true
}

// breakpoints are those of all columns that can mend a row.
func (p *linearProgram) breakpoints(row int, direction float64) breakpoints {
	edge := p.inverse[row]
	all := p.breaks[:0]
	for j := range p.columns {
		if p.rowOf[j] >= 0 {
			continue
		}
		c := &p.columns[j]
		along := c.dot(edge)
		p.pivotRow[j] = along
		if along *= direction; p.rowOf[j] == atHigh {
			along = -along
		}
		if along > pivotTolerance && c.low != c.high {
			all = append(all, breakpoint{j, math.Abs(p.reduced[j]) / along})
		}
	}
	p.breaks = all
	all.order()
	p.work += 10 * len(p.columns)
	return all
}

// flipBounds moves columns from one bound to the other.
func (p *linearProgram) flipBounds(columns []int) {
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
func (p *linearProgram) pivot(row, entering int, missing float64) {
	leaving := p.basis[row]
	c := &p.columns[entering]
	pivotColumn := make([]float64, len(p.basis))
	for r := range pivotColumn {
		pivotColumn[r] = c.dot(p.inverse[r])
	}
	goal, place := p.columns[leaving].low, atLow
	if missing > 0 {
		goal, place = p.columns[leaving].high, atHigh
	}
	change := (p.value[row] - goal) / pivotColumn[row]
	x := p.at(entering) + change
	ratio := p.reduced[entering] / p.pivotRow[entering]
	for j := range p.columns {
		if p.rowOf[j] < 0 && p.pivotRow[j] != 0 {
			p.reduced[j] -= ratio * p.pivotRow[j]
		}
	}
	p.reduced[entering], p.reduced[leaving] = 0, -ratio
	times(p.inverse[row], 1/pivotColumn[row])
	p.rowNorm[row] = square(p.inverse[row])
	for r := range pivotColumn {
		if r != row && math.Abs(pivotColumn[r]) > 1e-13 {
			p.value[r] -= change * pivotColumn[r]
			p.rowNorm[r] = less(p.inverse[r], p.inverse[row], pivotColumn[r])
			p.work += 2 * len(pivotColumn)
		}
	}
	p.value[row] = x
	p.basis[row], p.rowOf[entering], p.rowOf[leaving] = entering, row, place
	p.work += 5*len(pivotColumn) + 3*len(p.columns)
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

// linearProgram is a linear program in which every column has bounds:
//
//	least Σ cost·x  with  Σ column·x = right side,  low ≤ x ≤ high
//
// It is solved by the dual simplex method. Since all columns have bounds, each
// basis is a start for it after any change of bounds, and any multipliers give a
// bound that holds whatever rounding did.
type linearProgram struct {
	columns  []column
	right    []float64
	basis    []int       // column by row
	rowOf    []int       // row of a column in the basis, else atLow or atHigh
	inverse  [][]float64 // of the basis: row by row
	value    []float64   // of the column in the basis, by row
	reduced  []float64   // cost of each column
	rowNorm  []float64   // of each row of inverse, squared
	pivotRow []float64   // of each column: what a step of the leaving row takes
	breaks   breakpoints // room for them
	work     int         // numbers looked at, in all
}

// column has few entries: it enters its order, its day, and the bed twice.
type column struct {
	rows            [5]int32
	entries         [5]float64
	count           int
	cost, low, high float64
	perturbation    float64 // added to cost so that columns do not tie
}

const (
	atLow  = -1
	atHigh = -2
	// pivotTolerance is what may be divided by.
	pivotTolerance = 1e-7
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
func (p *linearProgram) start(basis []int) {
	p.basis = basis
	p.rowOf = slices.Repeat([]int{atLow}, len(p.columns))
	for row, j := range basis {
		p.rowOf[j] = row
	}
	p.pivotRow = make([]float64, len(p.columns))
	p.refactorize()
}

// refactorize works the inverse out anew.
func (p *linearProgram) refactorize() {
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
	p.rowNorm = make([]float64, size)
	for row := range size {
		p.rowNorm[row] = square(p.inverse[row])
	}
	p.work += size * size
	p.computeReducedCosts()
}

// computeReducedCosts works reduced costs out anew.
func (p *linearProgram) computeReducedCosts() {
	multipliers := p.multipliers(true)
	p.reduced = slices.Grow(p.reduced[:0], len(p.columns))[:len(p.columns)]
	for j := range p.columns {
		c := &p.columns[j]
		p.reduced[j] = c.cost + c.perturbation - c.dot(multipliers)
	}
	for _, j := range p.basis {
		p.reduced[j] = 0
	}
	p.work += 5 * len(p.columns)
}

// multipliers are what a unit of each row costs.
func (p *linearProgram) multipliers(perturbed bool) []float64 {
	all := make([]float64, len(p.basis))
	for row, j := range p.basis {
		cost := p.columns[j].cost
		if perturbed {
			cost += p.columns[j].perturbation
		}
		if cost != 0 {
			less(all, p.inverse[row], -cost)
		}
	}
	return all
}

// computeValues puts columns outside the basis on the bound that suits their cost, and
// works the values of those in it out anew.
func (p *linearProgram) computeValues() {
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
func (p *linearProgram) at(j int) float64 {
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
func (p *linearProgram) bound() float64 {
	multipliers := p.multipliers(false)
	sum := product(multipliers, p.right)
	for j := range p.columns {
		c := &p.columns[j]
		reduced := c.cost - c.dot(multipliers)
		sum += min(reduced*c.low, reduced*c.high)
	}
	return sum
}

// residual is how far the values are from the right side.
func (p *linearProgram) residual() float64 {
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

// breakpoint is where the reduced cost of a column changes its sign.
type breakpoint struct {
	column int
	ratio  float64
}

func (c breakpoint) before(other breakpoint) bool {
	return c.ratio < other.ratio || c.ratio == other.ratio && c.column < other.column
}

// breakpoints are a heap: of many only the nearest few are taken.
type breakpoints []breakpoint

func (c breakpoints) order() {
	for at := len(c)/2 - 1; at >= 0; at-- {
		c.sink(at)
	}
}

func (c breakpoints) sink(at int) {
	for {
		child := 2*at + 1
		if child >= len(c) {
			return
		}
		if child+1 < len(c) && c[child+1].before(c[child]) {
			child++
		}
		if !c[child].before(c[at]) {
			return
		}
		c[at], c[child] = c[child], c[at]
		at = child
	}
}

// pop takes the nearest.
func (c *breakpoints) pop() breakpoint {
	all := *c
	nearest := all[0]
	all[0] = all[len(all)-1]
	*c = all[:len(all)-1]
	c.sink(0)
	return nearest
}
