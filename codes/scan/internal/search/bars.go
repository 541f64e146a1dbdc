package search

import (
	"context"
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

// readBars reads the Code 128 symbols of a picture. A text that accept takes
// must be read alike from two bands of the bars: the check symbol alone lets
// one in a hundred misreadings pass.
func readBars(ctx context.Context, g *pixels.Grey, _ *pixels.Thresholds, accept func(string) bool) []decode.Find {
	reader := decode.NewRowReader()
	var finds []decode.Find
	for _, r := range locate.NewBarBlocks(ctx, g).Regions() {
		if ctx.Err() != nil {
			break
		}
		if f, ok := decode.BarsRegion(g, &r, reader, accept); ok {
			finds = append(finds, f)
		}
	}
	return finds
}

const (
	barsRows        = 8   // rows of samples along the bars, to lay a grid
	barsSeenEdges   = 20  // bars of a region that is told when it cannot be read
	barsFits        = 8   // lattices that are fitted to one region
	barsLeastFound  = 0.7 // score of a grid over bars that is worth fitting,
	barsLeastFitted = 1.1 // and of a fitted one that is worth reading
)

// barsCandidates gives the regions of parallel bars of some levels that may
// carry a code.
func (l *search) barsCandidates(levels []pixels.Level) []candidate {
	q, bars := fit.BarsGrid(barsRows), restore.NewBars()
	found := make([][]candidate, len(levels))
	forAll(len(levels), func(i int) {
		v := &levels[i]
		if l.ctx.Err() != nil {
			return
		}
		blocks := locate.NewBarBlocks(l.ctx, v.Grey)
		dense, all := blocks.Dense().Regions(), blocks.Regions()
		for _, r := range slices.Concat(dense, locate.Bridged(l.ctx, dense), all, locate.Bridged(l.ctx, all)) {
			middle := r.Middle.Mul(v.Scale)
			if l.ctx.Err() != nil || r.Width < 0.7*fit.BarsLookModule*float64(q.Columns) || decode.Within(l.finds, middle) {
				continue
			}
			laid := q.OverBars(v.Contrast(), &r, []float64{0})
			if len(laid) == 0 || laid[0].Score < barsLeastFound {
				continue
			}
			found[i] = append(found[i], candidate{middle, laid[0].Score, 17 * v.Scale * r.Width / float64(q.Columns), func() (decode.Find, bool) {
				text, lattice, ok := readCandidateBars(q, v, &r, bars, l)
				f := decode.Find{Text: text, Symbol: fit.Code128, Module: lattice.Place(1, 0).Distance(lattice.Place(0, 0)), Corners: lattice.Outline()}
				return decode.Scaled([]decode.Find{f}, v.Scale)[0], ok
			}})
		}
	})
	return slices.Concat(found...)
}

// readCandidateBars lays grids over a region of bars, fits them and reads them.
func readCandidateBars(q *fit.Grid, v *pixels.Level, r *locate.BarRegion, bars *restore.Bars, w *search) (string, fit.Lattice, bool) {
	g, c := v.Grey, v.Contrast()
	all := q.OverBars(c, r, []float64{0, -0.28, 0.28, -0.42, 0.42})
	var tried []fit.Guess
	var seen fit.BarGuess
	for _, try := range all {
		if len(tried) == barsFits || try.Score < barsLeastFound || try.Score < all[0].Score-0.35 {
			break
		}
		if slices.ContainsFunc(tried, func(g fit.Guess) bool { return g.Lattice.Near(&try.Lattice) }) {
			continue
		}
		tried = append(tried, try.Guess)
		inverted := try.Inverted
		if try.Score >= barsLeastFitted {
			if text, ok := decode.BarsLattice(g, &try.Lattice, inverted, bars, w.accept); ok {
				return text, try.Lattice, true
			}
		}
		l, score := try.Lattice.Fitted(func(l *fit.Lattice) float64 { return q.Score(c, l, inverted) }, 1, 0.1, fit.LatticeMoves)
		if score < barsLeastFitted {
			continue
		}
		if score > seen.Score {
			seen = fit.BarGuess{Guess: fit.Guess{Grid: q, Lattice: l, Score: score}, Inverted: inverted}
		}
		if text, ok := decode.BarsLattice(g, &l, inverted, bars, w.accept); ok {
			return text, l, true
		}
	}
	if seen.Grid != nil {
		w.miss(v, seen.Guess, seen.Inverted)
	} else if _, _, edges := r.Ends(c, 0, false); edges >= barsSeenEdges {
		w.missBars(v, q, r)
	}
	return "", fit.Lattice{}, false
}
