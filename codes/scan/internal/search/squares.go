package search

import (
	"cmp"
	"context"
	"math"
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

const (
	matrixLeastModule = 1.4  // pixels
	matrixLeastFrame  = 0.25 // of a field that is worth fitting
	matrixLeastTiming = 0.6  // of a fitted field that is worth decoding
)

// matrixSizes are the sizes of Data Matrix ECC 200, rows by columns (ISO/IEC
// 16022; the larger ones from memory: the decoding library refuses any other).
func matrixSizes() [][2]int {
	sizes := [][2]int{{8, 18}, {8, 32}, {12, 26}, {12, 36}, {16, 36}, {16, 48}}
	for _, side := range []int{10, 12, 14, 16, 18, 20, 22, 24, 26, 32, 36, 40, 44, 48, 52, 64, 72, 80, 88, 96, 104, 120, 132, 144} {
		sizes = append(sizes, [2]int{side, side})
	}
	return sizes
}

// readMatrices reads the Data Matrix codes of a picture.
func readMatrices(ctx context.Context, g *pixels.Grey, t *pixels.Thresholds, accept func(string) bool) []decode.Find {
	sizes := matrixSizes()
	var finds []decode.Find
	for _, inverted := range []bool{false, true} {
		for borders := range locate.Borders(ctx, g, t, inverted) {
			for _, b := range borders {
				if f, ok := readMatrix(g, t, b, sizes, inverted, accept); ok {
					finds = append(finds, f)
					break
				}
			}
		}
	}
	return finds
}

// readMatrix finds the size of the symbol with this border, fits the field to
// the picture and decodes it.
func readMatrix(g *pixels.Grey, t *pixels.Thresholds, b locate.Border, sizes [][2]int, inverted bool, accept func(string) bool) (decode.Find, bool) {
	width, height := b.Right.Distance(b.Corner), b.Top.Distance(b.Corner)
	type sized struct {
		field *fit.Affine
		match float64
	}
	var likely []sized
	for _, size := range sizes {
		rows, columns := size[0], size[1]
		across, down := width/float64(columns), height/float64(rows)
		if min(across, down) < matrixLeastModule || across > 1.25*down || down > 1.25*across {
			continue
		}
		f := fit.MatrixAffine(g, b, columns, rows)
		if f.Frame(t, inverted) < matrixLeastFrame {
			continue
		}
		f = f.Fitted(t, inverted)
		if timing := f.Timing(); timing > matrixLeastTiming && !inverted || timing < -matrixLeastTiming && inverted {
			likely = append(likely, sized{f, math.Abs(timing)})
		}
	}
	slices.SortStableFunc(likely, func(a, b sized) int { return cmp.Compare(b.match, a.match) })
	for _, try := range likely {
		if text, ok := decode.AffineMatrix(try.field, t, inverted, accept); ok {
			return decode.Find{Text: text, Symbol: fit.DataMatrix, Module: try.field.Module(), Corners: try.field.Corners()}, true
		}
	}
	return decode.Find{}, false
}

const (
	squareLeastOrder   = 0.04 // of the edges of a square
	squareLeastFound   = 1.0  // score of a grid that was moved and is worth fitting,
	squareLeastFitted  = 1.15 // of a fitted one that is worth decoding,
	squareLeastRefined = 1.25 // and of one whose modules are worth working out
)

// squareCandidates gives the areas of some levels that are full of edges and
// quiet around. They need no finder pattern and no whole border.
func (l *search) squareCandidates(levels []pixels.Level) []candidate {
	grids := fit.SquareGrids()
	found := make([][]candidate, len(levels))
	forAll(len(levels), func(i int) {
		v := &levels[i]
		if l.ctx.Err() != nil {
			return
		}
		for _, s := range locate.NewEdgeDensity(l.ctx, v).Squares(l.ctx) {
			across, order := s.Direction(v.Grey)
			if order < squareLeastOrder {
				continue
			}
			found[i] = append(found[i], candidate{s.Middle.Mul(v.Scale), s.Score, s.Side * v.Scale, func() (decode.Find, bool) {
				f, ok := readCandidateSquare(v, s, across, grids, l)
				return decode.Scaled([]decode.Find{f}, v.Scale)[0], ok
			}})
		}
	})
	return slices.Concat(found...)
}

// readCandidateSquare lays the grids of codes over a square whose edges go across or
// down, fits them and reads them.
func readCandidateSquare(v *pixels.Level, s locate.Square, across pixels.Point, grids []*fit.Grid, l *search) (decode.Find, bool) {
	g, c := v.Grey, v.Contrast()
	contents := s.Corners(g, across)
	for _, inverted := range fit.Polarities(g, contents) {
		var all []fit.Guess
		for _, q := range grids {
			all = append(all, q.OverSquare(c, inverted, contents, fit.Shrunk(contents, 0.9), fit.Shrunk(contents, 0.8), s.Upright(across, 1), s.Upright(across, 0.8))...)
		}
		if f, ok := readSquare(v, all, inverted, l); ok {
			return f, true
		}
	}
	return decode.Find{}, false
}

// readSquare fits grids that lie about right and reads them.
func readSquare(v *pixels.Level, all []fit.Guess, inverted bool, w *search) (decode.Find, bool) {
	g, c := v.Grey, v.Contrast()
	slices.SortStableFunc(all, func(a, b fit.Guess) int { return cmp.Compare(b.Score, a.Score) })
	done := func(q *fit.Grid, l *fit.Lattice, text string) (decode.Find, bool) {
		return decode.Find{Text: text, Symbol: q.Symbol, Module: l.Module(), Corners: l.Outline()}, true
	}
	var likely, seen []fit.Guess
	for _, try := range all {
		if try.Score < squareLeastFound {
			break
		}
		q := try.Grid
		score := func(l *fit.Lattice) float64 { return q.Score(c, l, inverted) }
		flat, _ := try.Lattice.Fitted(score, 1, 0.12, fit.FlatMoves)
		bent, met := flat.Fitted(score, 0.5, 0.06, fit.LatticeMoves)
		if met < squareLeastFitted {
			continue
		}
		likely = append(likely, fit.Guess{Grid: q, Lattice: try.Lattice, Score: met})
		seen = append(seen, fit.Guess{Grid: q, Lattice: bent, Score: met})
		for _, l := range []*fit.Lattice{&bent, &flat, &try.Lattice} {
			if text, ok := decode.SquareLattice(q, g, l, inverted, w.accept); ok {
				return done(q, l, text)
			}
		}
	}
	if len(likely) == 0 {
		return decode.Find{}, false
	}
	byScore := func(a, b fit.Guess) int { return cmp.Compare(a.Score, b.Score) }
	best := slices.MaxFunc(likely, byScore)
	if best.Score >= squareLeastRefined {
		if text, l, ok := decode.RefinedLattice(best.Grid, g, best.Lattice, inverted, w.accept); ok {
			return done(best.Grid, &l, text)
		}
	}
	w.miss(v, slices.MaxFunc(seen, byScore), inverted)
	return decode.Find{}, false
}
