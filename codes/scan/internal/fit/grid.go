package fit

import (
	"cmp"
	"math"
	"slices"

	"graftslip/codes/internal/qrchart"
	"graftslip/codes/scan/internal/pixels"
)

// Names of the symbols, as in Found.
const (
	QR         = "qr"
	DataMatrix = "datamatrix"
	Code128    = "code128"
)

// Known is a module that every symbol of a size has; x and y are the middle of
// it, in modules from the grid's corner.
type Known struct {
	X, Y   float64
	Light  bool
	Weight float64
}

// Grid is what the symbols of one size have in common.
type Grid struct {
	Symbol        string
	Columns, Rows int
	Known         []Known
	data          []pixels.Point // middles of modules that differ from one to the next
}

// score tells how well a lattice meets the known modules: their correlation
// with what is seen there, 1 when all are as they must be, 0 for chance, which
// blur and faint print leave high; and, by half, how far the data are from
// grey, as a share of the known modules.
func (q *Grid) score(c *pixels.Contrast, l *Lattice, inverted bool) float64 {
	if !l.Sound() {
		return math.Inf(-1)
	}
	var n, sum, squares, expected, product float64
	for i := range q.Known {
		k := &q.Known[i]
		v := c.At(l.Place(k.X, k.Y))
		n += k.Weight
		sum += k.Weight * v
		squares += k.Weight * v * v
		if k.Light != inverted {
			expected += k.Weight
			product += k.Weight * v
		} else {
			expected -= k.Weight
			product -= k.Weight * v
		}
	}
	spread := math.Sqrt(max(squares-sum*sum/n, 0) * (n - expected*expected/n))
	met := (product - sum*expected/n) / max(spread, 1e-6*n)
	clear := 0.0
	for i := 0; i < len(q.data); i += 2 {
		clear += math.Abs(c.At(l.Place(q.data[i].X, q.data[i].Y)))
	}
	clear /= float64(len(q.data) / 2)
	return met + dataWeight*min(clear/max(math.Sqrt(squares/n), 0.05), 1)
}

// Guess is a lattice that may lie right over a symbol.
type Guess struct {
	*Grid
	Lattice  Lattice
	Inverted bool // the symbol is light on dark
	Score    float64
}

// guess lays a lattice over a symbol and scores it.
func (q *Grid) guess(c *pixels.Contrast, l Lattice, inverted bool) Guess {
	return Guess{q, l, inverted, q.score(c, &l, inverted)}
}

// Fitted moves the lattice to where it scores best; see Lattice.Fitted.
func (g Guess) Fitted(c *pixels.Contrast, from, to float64, moves int) Guess {
	score := func(l *Lattice) float64 { return g.score(c, l, g.Inverted) }
	g.Lattice, g.Score = g.Lattice.Fitted(score, from, to, moves)
	return g
}

// Likeliest sorts guesses by their scores, the highest first.
func Likeliest(guesses []Guess) {
	slices.SortStableFunc(guesses, func(a, b Guess) int { return cmp.Compare(b.Score, a.Score) })
}

// quietWeight is the weight of a module of the quiet zone, where soil lies as
// often as light.
const quietWeight = 0.35

// dataWeight is that of the contrast of the data in the score of a grid.
const dataWeight = 0.5

// see adds a module that every symbol has.
func (q *Grid) see(x, y int, light bool, weight float64) {
	q.Known = append(q.Known, Known{float64(x) + 0.5, float64(y) + 0.5, light, weight})
}

// differ adds a module that differs from one symbol to the next.
func (q *Grid) differ(x, y int) { q.data = append(q.data, pixels.Pt(float64(x)+0.5, float64(y)+0.5)) }

// QRGrid is that of the QR codes with so many modules a side.
func QRGrid(side int) *Grid {
	chart := qrchart.New((side - 17) / 4)
	q := &Grid{Symbol: QR, Columns: side, Rows: side}
	for _, m := range chart.Fixed {
		q.see(int(m.At)%side, int(m.At)/side, !m.Dark, 1)
	}
	for i := range side {
		for _, p := range [4][2]int{{i, -1}, {-1, i}, {side, i}, {i, side}} {
			q.see(p[0], p[1], true, quietWeight)
		}
	}
	for _, m := range chart.Modules {
		q.differ(int(m.At)%side, int(m.At)/side)
	}
	return q
}

// MatrixGrid is that of the Data Matrix codes with so many modules a side, of
// one region.
func MatrixGrid(side int) *Grid {
	q := &Grid{Symbol: DataMatrix, Columns: side, Rows: side}
	for x := range side {
		q.see(x, 0, x%2 == 1, 1)
		q.see(x, side-1, false, 1)
		q.see(x, side, true, quietWeight)
		q.see(x, -1, true, quietWeight)
	}
	for y := 1; y < side-1; y++ {
		q.see(side-1, y, (side-1-y)%2 == 1, 1)
		q.see(0, y, false, 1)
		q.see(-1, y, true, quietWeight)
		q.see(side, y, true, quietWeight)
	}
	for y := 1; y < side-1; y++ {
		for x := 1; x < side-1; x++ {
			q.differ(x, y)
		}
	}
	return q
}
