package schedule

import (
	"container/heap"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// linearProgram is a linear program in which every column has bounds:
//
//	least Σ cost·x  with  Σ column·x = right side,  low ≤ x ≤ high
//
// It is solved by the dual simplex method. Since all columns have bounds, each
// basis is a start for it after any change of bounds, and any multipliers give a
// bound that holds whatever rounding did. The simplex of gonum (optimize/convex/lp) can
// do neither: it knows no bounds but 0, starts anew each time, keeps a dense matrix of
// all columns, and gives no multipliers.
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
	breaks   breakpoints // kept for its memory
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
	atLow          = -1
	atHigh         = -2
	pivotTolerance = 1e-7 // a pivot is larger
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

// addTo adds a column, times a factor, to numbers by row.
func (c *column) addTo(rows []float64, factor float64) {
	for i := range c.count {
		rows[c.rows[i]] += factor * c.entries[i]
	}
}

// start takes a basis of one column for each row, which enters it by 1, and else only
// rows after it.
func (p *linearProgram) start(basis []int) {
	p.basis = basis
	p.rowOf = slices.Repeat([]int{atLow}, len(p.columns))
	p.inverse, p.rowNorm = make([][]float64, len(basis)), make([]float64, len(basis))
	for row, j := range basis {
		p.rowOf[j] = row
		p.inverse[row] = make([]float64, len(basis))
		p.inverse[row][row] = 1
	}
	for row, j := range basis {
		p.rowNorm[row] = floats.Dot(p.inverse[row], p.inverse[row])
		c := &p.columns[j]
		for i := 1; i < c.count; i++ {
			floats.AddScaled(p.inverse[c.rows[i]], -c.entries[i], p.inverse[row])
		}
	}
	p.pivotRow = make([]float64, len(p.columns))
	p.work += len(basis) * len(basis)
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
			floats.AddScaled(all, cost, p.inverse[row])
		}
	}
	return all
}

// computeValues puts columns outside the basis on the bound that suits their cost, and
// works the values of those in it out anew.
func (p *linearProgram) computeValues() {
	rest := slices.Clone(p.right)
	for j := range p.columns {
		if p.rowOf[j] >= 0 {
			continue
		}
		p.rowOf[j] = atLow
		if p.reduced[j] < 0 {
			p.rowOf[j] = atHigh
		}
		p.columns[j].addTo(rest, -p.at(j))
	}
	p.value = slices.Grow(p.value[:0], len(rest))[:len(rest)]
	for row := range p.basis {
		p.value[row] = floats.Dot(p.inverse[row], rest)
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

// residual is how far the values are from the right side.
func (p *linearProgram) residual() float64 {
	rest := slices.Clone(p.right)
	for j := range p.columns {
		p.columns[j].addTo(rest, -p.at(j))
	}
	return floats.Norm(rest, math.Inf(1))
}

// bound is a cost that nothing within the bounds of the columns can go below. It
// holds for any multipliers: x times the reduced costs is the cost less multipliers
// times the right side.
func (p *linearProgram) bound() float64 {
	multipliers := p.multipliers(false)
	sum := floats.Dot(multipliers, p.right)
	for j := range p.columns {
		c := &p.columns[j]
		reduced := c.cost - c.dot(multipliers)
		sum += min(reduced*c.low, reduced*c.high)
	}
	return sum
}

type outcome int

const (
	optimal outcome = iota
	infeasible
	uncertain // by the steps taken, infeasible or off its rows, but rounding may have a part in it
	outOfWork // too much work, or ctx ended
)

// solve steps until no value in the basis is outside its bounds.
func (p *linearProgram) solve(ctx context.Context, mostWork int) outcome {
	p.computeValues()
	for step := 1; ; step++ {
		if step%64 == 0 && p.residual() > 1e-6 {
			return uncertain
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

// provesInfeasible reports whether the rows, each times its number in a row of the
// inverse, add up to what no values within bounds reach. That holds whatever the
// numbers are.
func (p *linearProgram) provesInfeasible(row int) bool {
	least, most := 0.0, 0.0
	for j := range p.columns {
		c := &p.columns[j]
		along := c.dot(p.inverse[row])
		least += min(along*c.low, along*c.high)
		most += max(along*c.low, along*c.high)
	}
	right := floats.Dot(p.inverse[row], p.right)
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
	p.findBreakpoints(row, missing < 0)
	entering := -1
	var flips []int
	slope := math.Abs(missing)
	for len(p.breaks) > 0 {
		next := p.breaks[0].column
		if entering >= 0 {
			flips = append(flips, entering)
		}
		entering = next
		slope -= math.Abs(p.pivotRow[next]) * (p.columns[next].high - p.columns[next].low)
		if slope < 0 {
			break
		}
		last := len(p.breaks) - 1
		p.breaks[0], p.breaks = p.breaks[last], p.breaks[:last]
		if last > 0 {
			heap.Fix(&p.breaks, 0)
		}
	}
	if entering < 0 || slope > 1e-8 {
		return false
	}
	p.flipBounds(flips)
	p.pivot(row, entering, missing)
	return true
}

// breakpoint is where the reduced cost of a column changes its sign.
type breakpoint struct {
	column int
	ratio  float64
}

// breakpoints are a heap: of many only the nearest few are taken.
type breakpoints []breakpoint

func (b breakpoints) Len() int      { return len(b) }
func (b breakpoints) Swap(i, j int) { b[i], b[j] = b[j], b[i] }
func (b breakpoints) Push(any)      {}
func (b breakpoints) Pop() any      { return nil }

func (b breakpoints) Less(i, j int) bool {
	return b[i].ratio < b[j].ratio || b[i].ratio == b[j].ratio && b[i].column < b[j].column
}

// findBreakpoints finds those of all columns that can mend a row.
func (p *linearProgram) findBreakpoints(row int, tooLow bool) {
	p.breaks = p.breaks[:0]
	for j := range p.columns {
		if p.rowOf[j] >= 0 {
			continue
		}
		c := &p.columns[j]
		along := c.dot(p.inverse[row])
		p.pivotRow[j] = along
		if tooLow != (p.rowOf[j] == atHigh) {
			along = -along
		}
		if along > pivotTolerance && c.low != c.high {
			p.breaks = append(p.breaks, breakpoint{j, math.Abs(p.reduced[j]) / along})
		}
	}
	heap.Init(&p.breaks)
	p.work += 10 * len(p.columns)
}

// flipBounds moves columns from one bound to the other.
func (p *linearProgram) flipBounds(columns []int) {
	if len(columns) == 0 {
		return
	}
	change := make([]float64, len(p.value))
	for _, j := range columns {
		before := p.at(j)
		p.rowOf[j] = atLow + atHigh - p.rowOf[j]
		p.columns[j].addTo(change, p.at(j)-before)
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
	pivotColumn := make([]float64, len(p.basis))
	for r := range pivotColumn {
		pivotColumn[r] = p.columns[entering].dot(p.inverse[r])
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
	floats.Scale(1/pivotColumn[row], p.inverse[row])
	p.rowNorm[row] = floats.Dot(p.inverse[row], p.inverse[row])
	for r, entry := range pivotColumn {
		if r != row && math.Abs(entry) > 1e-13 {
			p.value[r] -= change * entry
			floats.AddScaled(p.inverse[r], -entry, p.inverse[row])
			p.rowNorm[r] = floats.Dot(p.inverse[r], p.inverse[r])
			p.work += 2 * len(pivotColumn)
		}
	}
	p.value[row] = x
	p.basis[row], p.rowOf[entering], p.rowOf[leaving] = entering, row, place
	p.work += 5*len(pivotColumn) + 3*len(p.columns)
}
