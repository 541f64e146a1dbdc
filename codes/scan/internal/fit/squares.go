package fit

import (
	"math"

	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

const (
	qrFits       = 2    // grids that are fitted to one triple
	qrLeastFound = 0.85 // of a grid's known modules, as score: less is no symbol
)

// overFinders lays a grid so that the middles of the finder patterns, and the place
// opposite, are where they were seen.
func (q *Grid) overFinders(middles [3]pixels.Point, fourth pixels.Point) Lattice {
	// The four middles are corners of a smaller grid: 3.5 modules of it lie
	// around.
	plane := newPlane([4]pixels.Point{middles[0], middles[1], fourth, middles[2]})
	side := float64(q.Columns)
	edge := side / (side - 7)
	return q.lattice([4]pixels.Point{plane.at(-edge, -edge), plane.at(edge, -edge),
		plane.at(edge, edge), plane.at(-edge, edge)})
}

// OverFinders lays a grid over the middles of three finder patterns and looks for its
// fourth corner: the likeliest places, if any is likely.
func (q *Grid) OverFinders(c *pixels.Contrast, t *locate.Triple) []Guess {
	middles := [3]pixels.Point{t.Corner.Middle, t.Right.Middle, t.Below.Middle}
	var guesses []Guess
	across, down := middles[1].Sub(middles[0]), middles[2].Sub(middles[0])
	for _, u := range []float64{0, -0.12, 0.12, -0.24, 0.24} {
		for _, w := range []float64{0, -0.12, 0.12, -0.24, 0.24} {
			fourth := middles[1].Add(down).Add(across.Mul(u)).Add(down.Mul(w))
			if g := q.guess(c, q.overFinders(middles, fourth), t.Corner.Inverted); g.Score > qrLeastFound {
				guesses = append(guesses, g)
			}
		}
	}
	Likeliest(guesses)
	return guesses[:min(len(guesses), qrFits)]
}

const (
	squareFits      = 4   // lattices of one grid that are moved and fitted on one square
	squareLeastLaid = 0.6 // score of a grid over a square that is worth moving
)

// SquareGrids are those of the square symbols that carry codes.
func SquareGrids() []*Grid { return []*Grid{QRGrid(21), MatrixGrid(14)} }

// OverSquare lays a grid over corners, of several guesses, in each of its four
// turns, and moves the likeliest.
func (q *Grid) OverSquare(c *pixels.Contrast, inverted bool, guesses ...[4]pixels.Point) []Guess {
	var all []Guess
	for _, corners := range guesses {
		wide, tall := corners[1].Distance(corners[0]), corners[3].Distance(corners[0])
		if wide > 2*tall || tall > 2*wide {
			continue
		}
		for turn := range 4 {
			if g := q.laid(c, RotatedCorners(corners, turn), inverted); g.Score > squareLeastLaid {
				all = append(all, g)
			}
		}
	}
	Likeliest(all)
	all = all[:min(len(all), squareFits)]
	for i, g := range all {
		all[i] = q.settled(c, g.Lattice.corners, inverted)
	}
	return all
}

// laid lays a grid over corners as they are, and a little larger or smaller.
func (q *Grid) laid(c *pixels.Contrast, over [4]pixels.Point, inverted bool) Guess {
	best := Guess{q, Lattice{}, inverted, math.Inf(-1)}
	across := over[1].Sub(over[0]).Mul(1 / float64(q.Columns))
	down := over[3].Sub(over[0]).Mul(1 / float64(q.Rows))
	for _, wide := range []float64{0, -0.4, 0.4} {
		for _, tall := range []float64{0, -0.4, 0.4} {
			if (wide == 0) != (tall == 0) {
				continue
			}
			u, v := across.Mul(wide), down.Mul(tall)
			l := q.lattice([4]pixels.Point{over[0].Sub(u).Sub(v), over[1].Add(u).Sub(v),
				over[2].Add(u).Add(v), over[3].Sub(u).Add(v)})
			if g := q.guess(c, l, inverted); g.Score > best.Score {
				best = g
			}
		}
	}
	return best
}

// settled lays a grid over corners that are right to a module or so: side by
// side, each is moved to where the grid meets its known modules best.
func (q *Grid) settled(c *pixels.Contrast, over [4]pixels.Point, inverted bool) Guess {
	best := q.guess(c, q.lattice(over), inverted)
	steps := []float64{0, -0.5, 0.5, -1, 1, -1.5, 1.5}
	for round := range 3 {
		for pair := range 2 {
			was := best.Lattice.corners
			from, to := [2]int{0, 3}, [2]int{1, 2} // across
			if (pair+round)%2 == 1 {
				from, to = [2]int{0, 1}, [2]int{3, 2}
			}
			module := was[to[0]].Sub(was[from[0]]).Mul(1 / float64(q.Columns))
			other := was[to[1]].Sub(was[from[1]]).Mul(1 / float64(q.Columns)) // these grids are square
			for _, low := range steps {
				for _, high := range steps {
					if low == 0 && high == 0 || round > 0 && math.Abs(low)+math.Abs(high) > 1 {
						continue
					}
					moved := was
					moved[from[0]] = was[from[0]].Add(module.Mul(low))
					moved[from[1]] = was[from[1]].Add(other.Mul(low))
					moved[to[0]] = was[to[0]].Add(module.Mul(high))
					moved[to[1]] = was[to[1]].Add(other.Mul(high))
					if g := q.guess(c, q.lattice(moved), inverted); g.Score > best.Score {
						best = g
					}
				}
			}
		}
	}
	return best
}

// Polarities tells whether print inside corners is inverted: whether it is
// lighter around than inside. Soil and shadow may leave that open.
func Polarities(g *pixels.Grey, c [4]pixels.Point) []bool {
	box := NewLattice(8, 8, c)
	var inside, outside float64
	darkest, lightest := 255.0, 0.0
	for i := range 8 {
		for j := range 8 {
			v := g.At(box.Place(float64(i)+0.5, float64(j)+0.5))
			inside += v / 64
			darkest, lightest = min(darkest, v), max(lightest, v)
		}
		at := float64(i) + 0.5
		outside += (g.At(box.Place(at, -0.6)) + g.At(box.Place(at, 8.6)) +
			g.At(box.Place(-0.6, at)) + g.At(box.Place(8.6, at))) / 32
	}
	switch lighter := (outside - inside) / max(lightest-darkest, 1); {
	case lighter > 0.1:
		return []bool{false}
	case lighter < -0.25:
		return []bool{true}
	}
	return []bool{false, true}
}

// Shrunk draws corners towards their middle: soil around a symbol makes its
// contents look larger.
func Shrunk(c [4]pixels.Point, scale float64) [4]pixels.Point {
	middle := c[0].Add(c[1]).Add(c[2]).Add(c[3]).Mul(0.25)
	for i := range c {
		c[i] = middle.Add(c[i].Sub(middle).Mul(scale))
	}
	return c
}

// RotatedCorners are the same corners, beginning at a later one.
func RotatedCorners(c [4]pixels.Point, turn int) [4]pixels.Point {
	var turned [4]pixels.Point
	for i := range c {
		turned[i] = c[(i+turn)%4]
	}
	return turned
}
