package ledger

// assign pairs rows with columns at the least total cost and returns the column
// of each row, or -1 for a row that gets none. costs[r][c] is the cost of row r
// with column c, all rows of one length; fresh[r] that of row r with none.
// Among assignments of equal cost it takes the one with the lowest column for
// the first row, then for the second, and so on; none counts as the highest.
//
// The least cost is found by the Hungarian method, in the form with one
// shortest augmenting path a row: O(rows² × columns).
func assign(costs [][]int64, fresh []int64) []int {
	rows, columns := len(fresh), len(costs[0])
	a := &assignment{costs: costs, fresh: fresh, columns: columns}
	all := columns + rows // a column of its own for each row that gets none
	a.rowPrice, a.columnPrice = make([]int64, rows), make([]int64, all)
	a.columnOf, a.rowOf = make([]int, rows), make([]int, all)
	for c := range a.rowOf {
		a.rowOf[c] = -1
	}
	for r := range rows {
		a.augment(r)
	}
	for c, r := range a.rowOf {
		if r < 0 {
			a.rowOf[c] = len(a.columnOf)
			a.columnOf = append(a.columnOf, c)
		}
	}
	for r := range rows {
		a.lower(r)
	}
	a.columnOf = a.columnOf[:rows]
	for r, c := range a.columnOf {
		if c >= columns {
			a.columnOf[r] = -1
		}
	}
	return a.columnOf
}

// assignment is the state of assign. The prices are such that no reduced cost
// is negative, that of each pair is 0, no column has a price above 0, and one
// without a row has price 0.
//
// When all rows have a column, each column left over gets a row of no cost and
// of price 0, which suits all columns of price 0. With them the assignments of
// least cost are the pairings of all rows and columns whose reduced costs are
// all 0.
type assignment struct {
	costs                 [][]int64
	fresh                 []int64
	columns               int // those of costs; the ones after them stand for none
	rowPrice, columnPrice []int64
	columnOf, rowOf       []int // -1 in rowOf for a column without a row
}

// reduced returns the reduced cost of a row with a column.
func (a *assignment) reduced(r, c int) int64 {
	switch {
	case r >= len(a.fresh):
		return -a.columnPrice[c]
	case c >= a.columns:
		return a.fresh[r] - a.rowPrice[r] - a.columnPrice[c]
	}
	return a.costs[r][c] - a.rowPrice[r] - a.columnPrice[c]
}

// augment gives a column to one more row, moving other rows as needed.
func (a *assignment) augment(start int) {
	const far = int64(1) << 62
	all := len(a.rowOf)
	distance, from := make([]int64, all), make([]int, all) // from: the column before on the path, -1 at its start
	done := make([]bool, all)
	for c := range distance {
		distance[c], from[c] = far, -1
	}
	r, last := start, -1
	for {
		step, next := far, -1
		for c := range all {
			if done[c] {
				continue
			}
			if reduced := a.reduced(r, c); reduced < distance[c] {
				distance[c], from[c] = reduced, last
			}
			// Of columns as near as each other one without a row ends the path.
			if distance[c] < step || distance[c] == step && a.rowOf[c] < 0 && a.rowOf[next] >= 0 {
				step, next = distance[c], c
			}
		}
		a.rowPrice[start] += step
		for c := range all {
			if done[c] {
				a.rowPrice[a.rowOf[c]] += step
				a.columnPrice[c] -= step
			} else {
				distance[c] -= step
			}
		}
		done[next], last = true, next
		if a.rowOf[next] < 0 {
			break
		}
		r = a.rowOf[next]
	}
	for c := last; c >= 0; c = from[c] {
		owner := start
		if from[c] >= 0 {
			owner = a.rowOf[from[c]]
		}
		a.rowOf[c], a.columnOf[owner] = owner, c
	}
}

// lower gives a row the lowest column it can have at the same total cost while
// the rows before it keep theirs.
func (a *assignment) lower(r int) {
	seen := make([]bool, len(a.rowOf))
	for c := 0; c < min(a.columnOf[r], a.columns); c++ {
		if !seen[c] && a.reduced(r, c) == 0 && a.vacate(c, r, seen) {
			a.rowOf[c], a.columnOf[r] = r, c
			return
		}
	}
}

// vacate takes a column away from its row, giving that row another, so that row
// r can move there from its own column. It reports whether that can be done at
// no cost, without touching rows before r. A column seen in vain need not be
// looked at again for the same r.
func (a *assignment) vacate(c, r int, seen []bool) bool {
	seen[c] = true
	owner := a.rowOf[c]
	if owner < r {
		return false
	}
	for other := range a.rowOf {
		if seen[other] || a.reduced(owner, other) != 0 {
			continue
		}
		if other == a.columnOf[r] || a.vacate(other, r, seen) {
			a.rowOf[other], a.columnOf[owner] = owner, other
			return true
		}
	}
	return false
}
