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
func closeQR(v *pixels.Level, w *search) []decode.Find {
	all := locate.Finders(w.ctx, v.Grey, v.Thresholds())
	all = slices.DeleteFunc(all, func(f locate.Finder) bool { return decode.Within(w.finds, f.Middle.Mul(v.Scale)) })
	used := make([]bool, len(all))
	grids := map[int]*fit.Grid{}
	var finds []decode.Find
	failures := 0
	for i, try := range locate.LooseTriples(w.ctx, all) {
		if i >= qrLooks || failures == qrFailures || w.ctx.Err() != nil {
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
		text, l, ok := fitQR(v, guesses, a.Inverted, w)
		if !ok {
			failures++
			continue
		}
		used[try.Corner], used[try.Right], used[try.Below] = true, true, true
		finds = append(finds, decode.Find{Text: text, Symbol: fit.QR, Module: l.Module(), Corners: l.Outline()})
	}
	return finds
}

// fitQR fits grids and reads them.
func fitQR(v *pixels.Level, guesses []fit.Guess, inverted bool, w *search) (string, fit.Lattice, bool) {
	for _, try := range guesses {
		q := try.Grid
		l, score := try.Lattice.Fitted(func(l *fit.Lattice) float64 { return q.Score(v.Contrast(), l, inverted) }, 0.5, 0.06, fit.LatticeMoves)
		if score < qrLeastFitted {
			continue
		}
		if text, ok := decode.SquareLattice(q, v.Grey, &l, inverted, w.accept); ok {
			return text, l, true
		}
		w.miss(v, fit.Guess{Grid: q, Lattice: l, Score: score}, inverted)
	}
	return "", fit.Lattice{}, false
}
