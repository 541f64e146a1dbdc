package search

import (
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

const qrTries = 4000 // triples that are tried in one picture

// readQR reads the QR codes of a level that are whole and seen from the front.
func (s *search) readQR(v *pixels.Level) []decode.Find {
	var finds []decode.Find
	for i, triple := range locate.Triples(s.ctx, locate.Finders(s.ctx, v), locate.Strict()) {
		if i >= qrTries || s.ctx.Err() != nil {
			break
		}
		if !triple.Free() {
			continue
		}
		if find, ok := decode.AffineQR(fit.QRAffine(v, &triple), s.accept); ok {
			triple.Take()
			finds = append(finds, find)
		}
	}
	return finds
}

const (
	qrFailures    = 12  // grids that may be fitted in vain on one level
	qrTriples     = 400 // triples that are looked at closely on one level
	qrLeastFitted = 1.1 // of a fitted grid that is worth decoding
)

// closeQR reads the QR codes of a picture that lie in perspective, are bent,
// blurred or damaged. It leaves out what lies in a place that is taken.
func (s *search) closeQR(v *pixels.Level) []decode.Find {
	finders := slices.DeleteFunc(locate.Finders(s.ctx, v), func(f locate.Finder) bool {
		return decode.Within(s.finds, f.Middle.Mul(v.Scale))
	})
	grids := map[int]*fit.Grid{} // by side
	var finds []decode.Find
	failures := 0
	for i, triple := range locate.Triples(s.ctx, finders, locate.Loose()) {
		if i >= qrTriples || failures == qrFailures || s.ctx.Err() != nil {
			break
		}
		if !triple.Free() {
			continue
		}
		grid := grids[triple.Side]
		if grid == nil {
			grid = fit.QRGrid(triple.Side)
			grids[triple.Side] = grid
		}
		guesses := grid.OverFinders(v.Contrast(), &triple)
		if len(guesses) == 0 {
			continue
		}
		find, ok := s.fitQR(v, guesses)
		if !ok {
			failures++
			continue
		}
		triple.Take()
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
