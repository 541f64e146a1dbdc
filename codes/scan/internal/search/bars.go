package search

import (
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
func (s *search) readBars(v *pixels.Level) []decode.Find {
	reader := decode.NewRowReader()
	var finds []decode.Find
	for _, r := range locate.NewBarBlocks(s.ctx, v.Grey).Regions() {
		if s.ctx.Err() != nil {
			break
		}
		if find, ok := decode.BarsRegion(v.Grey, &r, reader, s.accept); ok {
			finds = append(finds, find)
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
func (s *search) barsCandidates(levels []pixels.Level) []candidate {
	q, bars := fit.BarsGrid(barsRows), restore.NewBars()
	return collect(s.ctx, len(levels), func(i int) (found []candidate) {
		v := &levels[i]
		blocks := locate.NewBarBlocks(s.ctx, v.Grey)
		dense, all := blocks.Dense().Regions(), blocks.Regions()
		for _, r := range slices.Concat(dense, locate.Bridged(s.ctx, dense), all, locate.Bridged(s.ctx, all)) {
			middle := r.Middle.Mul(v.Scale)
			if s.ctx.Err() != nil || r.Width < 0.7*fit.BarsLookModule*float64(q.Columns) || decode.Within(s.finds, middle) {
				continue
			}
			laid := q.OverBars(v.Contrast(), &r, []float64{0})
			if len(laid) == 0 || laid[0].Score < barsLeastFound {
				continue
			}
			read := func() (decode.Find, bool) {
				find, ok := s.fitBars(v, q, &r, bars)
				return find.Scaled(v.Scale), ok
			}
			side := 17 * v.Scale * r.Width / float64(q.Columns) // of a square symbol of such modules
			found = append(found, candidate{middle, laid[0].Score, side, read})
		}
		return found
	})
}

// fitBars lays grids over a region of bars, fits them and reads them.
func (s *search) fitBars(v *pixels.Level, q *fit.Grid, r *locate.BarRegion, bars *restore.Bars) (decode.Find, bool) {
	c := v.Contrast()
	all := q.OverBars(c, r, []float64{0, -0.28, 0.28, -0.42, 0.42})
	var tried []fit.Guess
	var best fit.Guess
	for _, laid := range all {
		if len(tried) == barsFits || laid.Score < barsLeastFound || laid.Score < all[0].Score-0.35 {
			break
		}
		if slices.ContainsFunc(tried, func(g fit.Guess) bool { return g.Lattice.Near(&laid.Lattice) }) {
			continue
		}
		tried = append(tried, laid)
		if laid.Score >= barsLeastFitted {
			if find, ok := decode.Bars(v.Grey, &laid, bars, s.accept); ok {
				return find, true
			}
		}
		fitted := laid.Fitted(c, 1, 0.1, fit.LatticeMoves)
		if fitted.Score < barsLeastFitted {
			continue
		}
		if fitted.Score > best.Score {
			best = fitted
		}
		if find, ok := decode.Bars(v.Grey, &fitted, bars, s.accept); ok {
			return find, true
		}
	}
	if best.Grid == nil {
		if _, _, edges := r.Ends(c, 0, false); edges < barsSeenEdges {
			return decode.Find{}, false
		}
		best = q.OverRegion(r) // as many bars as a code has, over which no grid could be laid well
		best.Score = missedBars
	}
	s.miss(v, &best)
	return decode.Find{}, false
}
