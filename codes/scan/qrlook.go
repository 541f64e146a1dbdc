package scan

import (
	"cmp"
	"context"
	"slices"

	"graftslip/codes/internal/qrchart"
)

const (
	qrFits        = 2    // grids that are fitted to one triple
	qrFailures    = 12   // grids that may be fitted in vain on one level
	qrLooks       = 400  // triples that are looked at closely on one level
	qrLeastFound  = 0.85 // of a grid's known modules, as score: less is no symbol
	qrLeastFitted = 1.1  // of a fitted grid that is worth decoding
)

// qrGrid is that of the QR codes with so many modules a side.
func qrGrid(side int) *grid {
	chart := qrchart.New((side - 17) / 4)
	grid := &grid{format: qrFormat(), columns: side, rows: side}
	for _, m := range chart.Fixed {
		grid.known = append(grid.known, known{float64(int(m.At)%side) + 0.5, float64(int(m.At)/side) + 0.5, !m.Dark, 1})
	}
	for i := range side {
		at := float64(i) + 0.5
		for _, p := range []point{{at, -0.5}, {-0.5, at}, {float64(side) + 0.5, at}, {at, float64(side) + 0.5}} {
			grid.known = append(grid.known, known{p.x, p.y, true, quietWeight})
		}
	}
	for _, m := range chart.Modules {
		grid.data = append(grid.data, point{float64(int(m.At)%side) + 0.5, float64(int(m.At)/side) + 0.5})
	}
	return grid
}

// lookQR reads the QR codes of a picture that lie in perspective, are bent,
// blurred or damaged. It leaves out what lies in a place that is taken.
func lookQR(v *level, w *looking) []find {
	all := finders(w.ctx, v.grey, v.thresholds())
	all = slices.DeleteFunc(all, func(f finder) bool { return within(w.finds, f.middle.mul(v.scale)) })
	used := make([]bool, len(all))
	grids := map[int]*grid{}
	var finds []find
	failures := 0
	for i, try := range looseTriples(w.ctx, all) {
		if i >= qrLooks || failures == qrFailures || w.ctx.Err() != nil {
			break
		}
		if used[try.corner] || used[try.right] || used[try.below] {
			continue
		}
		grid := grids[try.side]
		if grid == nil {
			grid = qrGrid(try.side)
			grids[try.side] = grid
		}
		a, b, c := all[try.corner], all[try.right], all[try.below]
		guesses := grid.lookQR(v, [3]point{a.middle, b.middle, c.middle}, a.inverted)
		if len(guesses) == 0 {
			continue
		}
		text, l, ok := fitQR(v, guesses, a.inverted, w)
		if !ok {
			failures++
			continue
		}
		used[try.corner], used[try.right], used[try.below] = true, true, true
		finds = append(finds, find{text: text, symbol: QR, module: l.module(), corners: l.outline()})
	}
	return finds
}

// lookQR lays a grid over the middles of three finder patterns and looks for its
// fourth corner: the likeliest places, if any is likely.
func (q *grid) lookQR(v *level, middles [3]point, inverted bool) []guess {
	var guesses []guess
	across, down := middles[1].sub(middles[0]), middles[2].sub(middles[0])
	for _, u := range []float64{0, -0.12, 0.12, -0.24, 0.24} {
		for _, w := range []float64{0, -0.12, 0.12, -0.24, 0.24} {
			fourth := middles[1].add(down).add(across.mul(u)).add(down.mul(w))
			l := q.over(middles, fourth)
			if score := q.score(v.contrast(), &l, inverted); score > qrLeastFound {
				guesses = append(guesses, guess{q, l, score})
			}
		}
	}
	slices.SortStableFunc(guesses, func(a, b guess) int { return cmp.Compare(b.score, a.score) })
	return guesses[:min(len(guesses), qrFits)]
}

// fitQR fits grids and reads them.
func fitQR(v *level, guesses []guess, inverted bool, w *looking) (string, lattice, bool) {
	for _, try := range guesses {
		q := try.grid
		l, score := try.lattice.fitted(func(l *lattice) float64 { return q.score(v.contrast(), l, inverted) }, 0.5, 0.06, latticeMoves)
		if score < qrLeastFitted {
			continue
		}
		if text, ok := q.read(v.grey, &l, inverted, w.accept); ok {
			return text, l, true
		}
		w.miss(v, guess{q, l, score}, inverted)
	}
	return "", lattice{}, false
}

// over lays a grid so that the middles of the finder patterns, and the place
// opposite, are where they were seen.
func (q *grid) over(middles [3]point, fourth point) lattice {
	// The four middles are corners of a smaller grid: 3.5 modules of it lie
	// around.
	inner := newPlane([4]point{middles[0], middles[1], fourth, middles[2]})
	side := float64(q.columns)
	edge := side / (side - 7)
	return newLattice(q.columns, q.rows, [4]point{inner.at(-edge, -edge), inner.at(edge, -edge), inner.at(edge, edge), inner.at(-edge, edge)})
}

// looseTriples gives the triples worth a close look, the likeliest first.
func looseTriples(ctx context.Context, all []finder) []triple {
	return triplesWithin(ctx, all, looseLimits())
}
