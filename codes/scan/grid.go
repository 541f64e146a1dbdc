package scan

import "math"

// known is a module that every symbol of a size has; x and y are the middle of
// it, in modules from the grid's corner.
type known struct {
	x, y   float64
	light  bool
	weight float64
}

// quietWeight is the weight of a module of the quiet zone, where soil lies as
// often as light.
const quietWeight = 0.35

// grid is what the symbols of one size have in common.
type grid struct {
	format
	columns, rows int
	known         []known
	data          []point // middles of modules that differ from one to the next
}

// dataWeight is that of the contrast of the data in the score of a grid.
const dataWeight = 0.5

// score tells how well a lattice meets the known modules: their correlation
// with what is seen there, 1 when all are as they must be, 0 for chance, which
// blur and faint print leave high; and, by half, how far the data are from
// grey, as a share of the known modules.
func (q *grid) score(c *contrast, l *lattice, inverted bool) float64 {
	if !l.sound() {
		return math.Inf(-1)
	}
	var n, sum, squares, expected, product float64
	for i := range q.known {
		k := &q.known[i]
		v := c.at(l.place(k.x, k.y))
		n += k.weight
		sum += k.weight * v
		squares += k.weight * v * v
		if k.light != inverted {
			expected += k.weight
			product += k.weight * v
		} else {
			expected -= k.weight
			product -= k.weight * v
		}
	}
	spread := math.Sqrt(max(squares-sum*sum/n, 0) * (n - expected*expected/n))
	met := (product - sum*expected/n) / max(spread, 1e-6*n)
	clear := 0.0
	for i := 0; i < len(q.data); i += 2 {
		clear += math.Abs(c.at(l.place(q.data[i].x, q.data[i].y)))
	}
	clear /= float64(len(q.data) / 2)
	return met + dataWeight*min(clear/max(math.Sqrt(squares/n), 0.05), 1)
}

// guess is a lattice that may lie right.
type guess struct {
	*grid
	lattice lattice
	score   float64
}
