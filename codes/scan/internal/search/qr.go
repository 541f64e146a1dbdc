package search

import (
	"context"
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

const qrTries = 4000 // triples that are tried in one picture

// readQR reads the QR codes of a picture.
func readQR(ctx context.Context, g *pixels.Grey, t *pixels.Thresholds, accept func(string) bool) []decode.Find {
	all := locate.Finders(ctx, g, t)
	used := make([]bool, len(all))
	var finds []decode.Find
	for i, try := range locate.Triples(ctx, all) {
		if i >= qrTries || ctx.Err() != nil {
			break
		}
		if used[try.Corner] || used[try.Right] || used[try.Below] {
			continue
		}
		a, b, c := all[try.Corner], all[try.Right], all[try.Below]
		f := fit.QRAffine(g, a.Middle, b.Middle, c.Middle, try.Side)
		text, ok := decode.AffineQR(f, a.Inverted, accept)
		if !ok {
			continue
		}
		used[try.Corner], used[try.Right], used[try.Below] = true, true, true
		finds = append(finds, decode.Find{Text: text, Symbol: fit.QR, Module: f.Module(), Corners: f.Corners()})
	}
	return finds
}

const (
	qrFailures    = 12  // grids that may be fitted in vain on one level
	qrLooks       = 400 // triples that are looked at closely on one level
	qrLeastFitted = 1.1 // of a fitted grid that is worth decoding
)

// closeQR reads the QR codes of a picture that lie in perspective, are bent,
// blurred or damaged. It leaves out what lies in a place that is taken.
func (s *search) closeQR(v *pixels.Level) []decode.Find {
	all := locate.Finders(s.ctx, v.Grey, v.Thresholds())
	all = slices.DeleteFunc(all, func(f locate.Finder) bool { return decode.Within(s.finds, f.Middle.Mul(v.Scale)) })
	used := make([]bool, len(all))
	grids := map[int]*fit.Grid{}
	var finds []decode.Find
	failures := 0
	for i, try := range locate.LooseTriples(s.ctx, all) {
		if i >= qrLooks || failures == qrFailures || s.ctx.Err() != nil {
			break
		}
		if used[try.Corner] || used[try.Right] || used[try.Below] {
			continue
		}
		grid := grids[try.Side]
		if grid == nil {
			grid = fit.QRGrid(try.Side)
			grids[try.Side] = grid
		}
		a, b, c := all[try.Corner], all[try.Right], all[try.Below]
		guesses := grid.OverFinders(v.Contrast(), [3]pixels.Point{a.Middle, b.Middle, c.Middle}, a.Inverted)
		if len(guesses) == 0 {
			continue
		}
		find, ok := s.fitQR(v, guesses)
		if !ok {
			failures++
			continue
		}
		used[try.Corner], used[try.Right], used[try.Below] = true, true, true
		finds = append(finds, find)
	}
	return finds
}

// fitQR fits guesses and reads them.
func (s *search) fitQR(v *pixels.Level, guesses []fit.Guess) (decode.Find, bool) {
	for _, guess := range guesses {
		guess = guess.Fitted(v.Contrast(), 0.5, 0.06, fit.LatticeMoves)
		if guess.Score < qrLeastFitted {
			continue
		}
		if find, ok := decode.Square(v.Grey, &guess, s.accept); ok {
			return find, true
		}
		s.miss(v, &guess)
	}
	return decode.Find{}, false
}
