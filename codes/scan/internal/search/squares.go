package search

import (
	"cmp"
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

// readMatrices reads the Data Matrix codes of a level that have a whole border.
func (s *search) readMatrices(v *pixels.Level) []decode.Find {
	sizes := matrixSizes()
	var finds []decode.Find
	for _, inverted := range []bool{false, true} {
		for borders := range locate.Borders(s.ctx, v, inverted) {
			for _, b := range borders {
				if find, ok := s.readMatrix(v, b, inverted, sizes); ok {
					finds = append(finds, find)
					break
				}
			}
		}
	}
	return finds
}

// readMatrix finds the size of the symbol with this border, fits a grid to the
// picture and decodes it.
func (s *search) readMatrix(v *pixels.Level, b locate.Border, inverted bool, sizes [][2]int) (decode.Find, bool) {
	width, height := b.Right.Distance(b.Corner), b.Top.Distance(b.Corner)
	type sized struct {
		*fit.Affine
		timing float64
	}
	var likely []sized
	for _, size := range sizes {
		rows, columns := size[0], size[1]
		across, down := width/float64(columns), height/float64(rows)
		if min(across, down) < matrixLeastModule || across > 1.25*down || down > 1.25*across {
			continue
		}
		f := fit.MatrixAffine(v, b, inverted, columns, rows)
		if f.Frame() < matrixLeastFrame {
			continue
		}
		f = f.Fitted()
		if timing := f.Timing(); timing > matrixLeastTiming {
			likely = append(likely, sized{f, timing})
		}
	}
	slices.SortStableFunc(likely, func(a, b sized) int { return cmp.Compare(b.timing, a.timing) })
	for _, try := range likely {
		if find, ok := decode.AffineMatrix(try.Affine, s.accept); ok {
			return find, true
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
func (s *search) squareCandidates(levels []pixels.Level) []candidate {
	grids := fit.SquareGrids()
	return collect(s.ctx, len(levels), func(i int) (found []candidate) {
		v := &levels[i]
		for _, area := range locate.NewEdgeDensity(s.ctx, v).Squares(s.ctx) {
			across, order := area.Direction(v.Grey)
			if order < squareLeastOrder {
				continue
			}
			read := func() (decode.Find, bool) { return s.readSquare(v, area, across, grids) }
			found = append(found, candidate{area.Middle.Mul(v.Scale), area.Score, area.Side * v.Scale, read})
		}
		return found
	})
}

// readSquare lays the grids of codes over an area whose edges go across or down,
// fits them and reads them.
func (s *search) readSquare(v *pixels.Level, area locate.Square, across pixels.Point, grids []*fit.Grid) (decode.Find, bool) {
	contents := area.Corners(v.Grey, across)
	for _, inverted := range fit.Polarities(v.Grey, contents) {
		var all []fit.Guess
		for _, q := range grids {
			all = append(all, q.OverSquare(v.Contrast(), inverted, contents, fit.Shrunk(contents, 0.9), fit.Shrunk(contents, 0.8),
				area.Upright(across, 1), area.Upright(across, 0.8))...)
		}
		if find, ok := s.fitSquare(v, all); ok {
			return find.Scaled(v.Scale), true
		}
	}
	return decode.Find{}, false
}

// fitSquare fits grids that lie about right and reads them.
func (s *search) fitSquare(v *pixels.Level, all []fit.Guess) (decode.Find, bool) {
	c := v.Contrast()
	fit.Likeliest(all)
	var best, bestFitted fit.Guess // as it was laid, with the score of when it was fitted, and as fitted
	for _, laid := range all {
		if laid.Score < squareLeastFound {
			break
		}
		flat := laid.Fitted(c, 1, 0.12, fit.FlatMoves)
		bent := flat.Fitted(c, 0.5, 0.06, fit.LatticeMoves)
		if bent.Score < squareLeastFitted {
			continue
		}
		for _, guess := range []*fit.Guess{&bent, &flat, &laid} {
			if find, ok := decode.Square(v.Grey, guess, s.accept); ok {
				return find, true
			}
		}
		if bent.Score > best.Score {
			laid.Score = bent.Score
			best, bestFitted = laid, bent
		}
	}
	if best.Grid == nil {
		return decode.Find{}, false
	}
	if best.Score >= squareLeastRefined {
		if find, ok := decode.RefinedSquare(v.Grey, best, s.accept); ok {
			return find, true
		}
	}
	s.miss(v, &bestFitted)
	return decode.Find{}, false
}
