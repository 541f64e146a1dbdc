package scan

import (
	"cmp"
	"math"
	"slices"
)

const (
	squareLeastOrder   = 0.04 // of the edges of a square
	squareFits         = 4    // lattices of one grid that are moved and fitted on one square
	squareLeastLaid    = 0.6  // score of a grid over a square that is worth moving,
	squareLeastFound   = 1.0  // of one that was moved and is worth fitting,
	squareLeastFitted  = 1.15 // of a fitted one that is worth decoding,
	squareLeastRefined = 1.25 // and of one whose modules are worth working out
)

// squareGrids are those of the square symbols that carry codes.
func squareGrids() []*grid { return []*grid{qrGrid(21), matrixGrid(14, 14)} }

// squareCandidates gives the areas of some levels that are full of edges and
// quiet around. They need no finder pattern and no whole border.
func (l *looking) squareCandidates(levels []level) []candidate {
	grids := squareGrids()
	found := make([][]candidate, len(levels))
	forAll(len(levels), func(i int) {
		v := &levels[i]
		if l.ctx.Err() != nil {
			return
		}
		for _, s := range newBusyness(l.ctx, v).squares(l.ctx) {
			across, order := s.direction(v.grey)
			if order < squareLeastOrder {
				continue
			}
			found[i] = append(found[i], candidate{s.middle.mul(v.scale), s.score, s.side * v.scale, func() (find, bool) {
				f, ok := lookSquare(v, s, across, grids, l)
				return scaled([]find{f}, v.scale)[0], ok
			}})
		}
	})
	return slices.Concat(found...)
}

// lookSquare lays the grids of codes over a square whose edges go across or
// down, fits them and reads them.
func lookSquare(v *level, s square, across point, grids []*grid, l *looking) (find, bool) {
	g, c := v.grey, v.contrast()
	contents := s.corners(g, across)
	for _, inverted := range polarities(g, contents) {
		var all []guess
		for _, q := range grids {
			all = append(all, q.settledOver(c, inverted, contents, shrunk(contents, 0.9), shrunk(contents, 0.8), s.upright(across, 1), s.upright(across, 0.8))...)
		}
		if f, ok := readSquare(v, all, inverted, l); ok {
			return f, true
		}
	}
	return find{}, false
}

// settledOver lays a grid over corners, of several guesses, in each of its four
// turns, and moves the likeliest.
func (q *grid) settledOver(c *contrast, inverted bool, guesses ...[4]point) []guess {
	var all []guess
	for _, corners := range guesses {
		wide, tall := corners[1].distance(corners[0]), corners[3].distance(corners[0])
		if wide > 2*tall || tall > 2*wide {
			continue
		}
		for turn := range 4 {
			if g := q.laid(c, turnedCorners(corners, turn), inverted); g.score > squareLeastLaid {
				all = append(all, g)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b guess) int { return cmp.Compare(b.score, a.score) })
	all = all[:min(len(all), squareFits)]
	for i, g := range all {
		all[i] = q.settled(c, g.lattice.corners, inverted)
	}
	return all
}

// readSquare fits grids that lie about right and reads them.
func readSquare(v *level, all []guess, inverted bool, w *looking) (find, bool) {
	g, c := v.grey, v.contrast()
	slices.SortStableFunc(all, func(a, b guess) int { return cmp.Compare(b.score, a.score) })
	done := func(q *grid, l *lattice, text string) (find, bool) {
		return find{text: text, symbol: q.symbol, module: l.module(), corners: l.outline()}, true
	}
	var likely, seen []guess
	for _, try := range all {
		if try.score < squareLeastFound {
			break
		}
		q := try.grid
		score := func(l *lattice) float64 { return q.score(c, l, inverted) }
		flat, _ := try.lattice.fitted(score, 1, 0.12, flatMoves)
		bent, met := flat.fitted(score, 0.5, 0.06, latticeMoves)
		if met < squareLeastFitted {
			continue
		}
		likely = append(likely, guess{q, try.lattice, met})
		seen = append(seen, guess{q, bent, met})
		for _, l := range []*lattice{&bent, &flat, &try.lattice} {
			if text, ok := q.read(g, l, inverted, w.accept); ok {
				return done(q, l, text)
			}
		}
	}
	if len(likely) == 0 {
		return find{}, false
	}
	byScore := func(a, b guess) int { return cmp.Compare(a.score, b.score) }
	best := slices.MaxFunc(likely, byScore)
	if best.score >= squareLeastRefined {
		if text, l, ok := best.grid.refined(g, best.lattice, inverted, w.accept); ok {
			return done(best.grid, &l, text)
		}
	}
	w.miss(v, slices.MaxFunc(seen, byScore), inverted)
	return find{}, false
}

// polarities tells whether print inside corners is inverted: whether it is
// lighter around than inside. Soil and shadow may leave that open.
func polarities(g *grey, c [4]point) []bool {
	box := newLattice(8, 8, c)
	var inside, outside float64
	darkest, lightest := 255.0, 0.0
	for i := range 8 {
		for j := range 8 {
			v := g.at(box.place(float64(i)+0.5, float64(j)+0.5))
			inside += v / 64
			darkest, lightest = min(darkest, v), max(lightest, v)
		}
		at := float64(i) + 0.5
		outside += (g.at(box.place(at, -0.6)) + g.at(box.place(at, 8.6)) + g.at(box.place(-0.6, at)) + g.at(box.place(8.6, at))) / 32
	}
	switch lighter := (outside - inside) / max(lightest-darkest, 1); {
	case lighter > 0.1:
		return []bool{false}
	case lighter < -0.25:
		return []bool{true}
	}
	return []bool{false, true}
}

// laid lays a grid over corners as they are, and a little larger or smaller.
func (q *grid) laid(c *contrast, over [4]point, inverted bool) guess {
	best := guess{q, lattice{}, math.Inf(-1)}
	across, down := over[1].sub(over[0]).mul(1/float64(q.columns)), over[3].sub(over[0]).mul(1/float64(q.rows))
	for _, wide := range []float64{0, -0.4, 0.4} {
		for _, tall := range []float64{0, -0.4, 0.4} {
			if (wide == 0) != (tall == 0) {
				continue
			}
			u, v := across.mul(wide), down.mul(tall)
			l := newLattice(q.columns, q.rows, [4]point{over[0].sub(u).sub(v), over[1].add(u).sub(v), over[2].add(u).add(v), over[3].sub(u).add(v)})
			if score := q.score(c, &l, inverted); score > best.score {
				best.lattice, best.score = l, score
			}
		}
	}
	return best
}

// settled lays a grid over corners that are right to a module or so: side by
// side, each is moved to where the grid meets its known modules best.
func (q *grid) settled(c *contrast, over [4]point, inverted bool) guess {
	best := guess{q, newLattice(q.columns, q.rows, over), 0}
	best.score = q.score(c, &best.lattice, inverted)
	steps := []float64{0, -0.5, 0.5, -1, 1, -1.5, 1.5}
	for round := range 3 {
		for pair := range 2 {
			was := best.lattice.corners
			from, to := [2]int{0, 3}, [2]int{1, 2} // across
			if (pair+round)%2 == 1 {
				from, to = [2]int{0, 1}, [2]int{3, 2}
			}
			module := was[to[0]].sub(was[from[0]]).mul(1 / float64(q.columns))
			other := was[to[1]].sub(was[from[1]]).mul(1 / float64(q.columns)) // these grids are square
			for _, low := range steps {
				for _, high := range steps {
					if low == 0 && high == 0 || round > 0 && math.Abs(low)+math.Abs(high) > 1 {
						continue
					}
					moved := was
					moved[from[0]] = was[from[0]].add(module.mul(low))
					moved[from[1]] = was[from[1]].add(other.mul(low))
					moved[to[0]] = was[to[0]].add(module.mul(high))
					moved[to[1]] = was[to[1]].add(other.mul(high))
					l := newLattice(q.columns, q.rows, moved)
					if score := q.score(c, &l, inverted); score > best.score {
						best.lattice, best.score = l, score
					}
				}
			}
		}
	}
	return best
}

// shrunk draws corners towards their middle: soil around a symbol makes its
// contents look larger.
func shrunk(c [4]point, scale float64) [4]point {
	middle := c[0].add(c[1]).add(c[2]).add(c[3]).mul(0.25)
	for i := range c {
		c[i] = middle.add(c[i].sub(middle).mul(scale))
	}
	return c
}

func turnedCorners(c [4]point, turn int) [4]point {
	var turned [4]point
	for i := range c {
		turned[i] = c[(i+turn)%4]
	}
	return turned
}
