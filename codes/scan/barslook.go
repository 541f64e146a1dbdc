package scan

import (
	"context"
	"math"
	"slices"

	"graftslip/codes/internal/restore"
)

const (
	codeDigits      = 14  // of the codes that bars carry
	barsRows        = 8   // rows of samples along the bars, to lay a grid
	barsReadRows    = 24  // and to read them
	barsEnough      = 4   // the part of the rows that shows a module as well as all, as its inverse
	barsHalo        = 3   // samples around glare that it makes lighter
	barsLookModule  = 1.0 // least pixels a module
	barsEnds        = 7   // edges at each end that may be the first or the last
	barsLeastEdges  = 16  // bars of a region that may carry a code, of 30
	barsSeenEdges   = 20  // bars of a region that is told when it cannot be read
	barsRowBest     = 3   // ends that are taken from one row
	barsFits        = 8   // lattices that are fitted to one region
	barsLeastFound  = 0.7 // score of a grid over bars that is worth fitting,
	barsLeastFitted = 1.1 // and of a fitted one that is worth reading
)

// barsGrid is that of the bars of a code, cut into rows.
func barsGrid(rows int) *grid {
	width := restore.BarsWidth(codeDigits)
	q := &grid{format: format{symbol: Code128}, columns: width, rows: rows}
	for row := range rows {
		y := float64(row) + 0.5
		for _, bar := range restore.FixedBars(width) {
			q.known = append(q.known, known{float64(bar.At) + 0.5, y, !bar.Dark, 1})
		}
		for i := range 3 { // of ten modules of quiet zone
			q.known = append(q.known, known{-float64(i) - 0.5, y, true, 1}, known{float64(width+i) + 0.5, y, true, 1})
		}
		for x := 11; x < width-13; x++ {
			q.data = append(q.data, point{float64(x) + 0.5, y})
		}
	}
	return q
}

// barsCandidates gives the regions of parallel bars of some levels that may
// carry a code.
func (l *looking) barsCandidates(levels []level) []candidate {
	q, bars := barsGrid(barsRows), restore.NewBars()
	found := make([][]candidate, len(levels))
	forAll(len(levels), func(i int) {
		v := &levels[i]
		if l.ctx.Err() != nil {
			return
		}
		blocks := newBarBlocks(l.ctx, v.grey)
		dense, all := blocks.dense().regions(), blocks.regions()
		for _, r := range slices.Concat(dense, bridged(l.ctx, dense), all, bridged(l.ctx, all)) {
			middle := r.middle.mul(v.scale)
			if l.ctx.Err() != nil || r.width < 0.7*barsLookModule*float64(q.columns) || within(l.finds, middle) {
				continue
			}
			laid := q.laidOver(v, &r, []float64{0})
			if len(laid) == 0 || laid[0].score < barsLeastFound {
				continue
			}
			found[i] = append(found[i], candidate{middle, laid[0].score, 17 * v.scale * r.width / float64(q.columns), func() (find, bool) {
				text, lattice, ok := q.lookBars(v, &r, bars, l)
				f := find{text: text, symbol: Code128, module: lattice.place(1, 0).distance(lattice.place(0, 0)), corners: lattice.outline()}
				return scaled([]find{f}, v.scale)[0], ok
			}})
		}
	})
	return slices.Concat(found...)
}

// bridged joins regions that lie on one line with a gap between, which glare or
// dirt may have torn.
func bridged(ctx context.Context, regions []region) []region {
	var joined []region
	for i := range regions {
		if ctx.Err() != nil {
			break
		}
		for j := range regions {
			a, b := &regions[i], &regions[j]
			way := b.middle.sub(a.middle)
			if i == j || way.dot(a.across) < 0 || math.Abs(a.across.dot(b.across)) < 0.97 ||
				max(a.height, b.height) > 2*min(a.height, b.height) || math.Abs(way.dot(a.along)) > 0.4*max(a.height, b.height)+0.2*way.length() {
				continue
			}
			gap := way.length() - (a.width+b.width)/2
			if gap > 0.6*(a.width+b.width) || gap < -0.2*(a.width+b.width) {
				continue
			}
			r := *a
			r.width = way.length() + (a.width+b.width)/2
			r.middle = a.middle.sub(a.across.mul(a.width / 2)).add(b.middle.add(way.mul(b.width / 2 / way.length()))).mul(0.5)
			r.height = max(a.height, b.height)
			r.base = way.mul(1 / way.length())
			joined = append(joined, r)
		}
	}
	return joined
}

// lookBars lays grids over a region of bars, fits them and reads them.
func (q *grid) lookBars(v *level, r *region, bars *restore.Bars, w *looking) (string, lattice, bool) {
	g, c := v.grey, v.contrast()
	all := q.laidOver(v, r, []float64{0, -0.28, 0.28, -0.42, 0.42})
	var tried []guess
	var seen laidBars
	for _, try := range all {
		if len(tried) == barsFits || try.score < barsLeastFound || try.score < all[0].score-0.35 {
			break
		}
		if slices.ContainsFunc(tried, func(g guess) bool { return g.lattice.near(&try.lattice) }) {
			continue
		}
		tried = append(tried, try.guess)
		inverted := try.inverted
		if try.score >= barsLeastFitted {
			if text, ok := readBarsLattice(g, &try.lattice, inverted, bars, w.accept); ok {
				return text, try.lattice, true
			}
		}
		l, score := try.lattice.fitted(func(l *lattice) float64 { return q.score(c, l, inverted) }, 1, 0.1, latticeMoves)
		if score < barsLeastFitted {
			continue
		}
		if score > seen.score {
			seen = laidBars{guess{q, l, score}, inverted}
		}
		if text, ok := readBarsLattice(g, &l, inverted, bars, w.accept); ok {
			return text, l, true
		}
	}
	if seen.grid != nil {
		w.miss(v, seen.guess, seen.inverted)
	} else if _, _, edges := r.ends(c, 0, false); edges >= barsSeenEdges {
		w.missBars(v, q, r)
	}
	return "", lattice{}, false
}
