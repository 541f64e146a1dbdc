package search

import (
	"context"
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// Photograph reads the symbols of a photograph and gives those that it
// could not read, unless the context ends before.
func Photograph(ctx context.Context, g *pixels.Grey, accept func(string) bool) ([]decode.Find, []Missed) {
	levels := pixels.Levels(g)
	if len(levels) == 0 {
		return nil, nil
	}
	s := &search{ctx: ctx, levels: levels, accept: accept}
	s.run()
	if len(s.finds) == 0 && ctx.Err() == nil {
		s.add(decode.ByLibrary(ctx, g, s.accept))
	}
	if ctx.Err() != nil {
		return s.finds, nil
	}
	return s.finds, s.allMissed()
}

const (
	// finePixels is the size of a picture whose finest level is searched only if
	// the coarser ones show that it may hold more: that level takes most of the
	// time, and a phone's picture of one label does not need it.
	finePixels = 4_000_000
	// smallPixels is the size of a picture that is enlarged when nothing else
	// helps.
	smallPixels = 1_000_000
	// fineModule is the side of a module, in pixels, from which a symbol is read
	// as well at half the size.
	fineModule = 4
)

// add keeps what was found, each symbol once. Where two texts claim one place
// neither is kept: a wrong text is worse than none.
func (s *search) add(finds []decode.Find) {
	for _, f := range finds {
		at := slices.IndexFunc(s.finds, func(k decode.Find) bool {
			one, other := k.Holds(f.Middle()), f.Holds(k.Middle())
			return one && other || k.Symbol == f.Symbol && (one || other)
		})
		switch {
		case at < 0 && !decode.Within(s.contested, f.Middle()):
			s.finds = append(s.finds, f)
		case at >= 0 && s.finds[at].Text != f.Text:
			s.contested = append(s.contested, s.finds[at])
			s.finds = slices.Delete(s.finds, at, at+1)
		}
	}
}

// run searches from the cheap to the thorough and from coarse to fine. Where
// it has found symbols it goes on to look for more of their size alone.
func (s *search) run() {
	fine, coarse := s.levels[:1], s.levels[1:]
	if s.levels[0].Width*s.levels[0].Height <= finePixels {
		fine, coarse = nil, s.levels
	}
	s.add(s.read(coarse, s.readers()))
	s.readClosely(coarse)
	if len(fine) > 0 && s.needsFinest() {
		s.add(s.read(fine, s.likelyReaders()))
		s.readClosely(fine)
	}
	if len(s.finds) > 0 {
		return
	}
	s.tryOut(s.rest, lastFailures)
	if whole := s.levels[0]; len(s.finds) == 0 && whole.Width*whole.Height <= smallPixels {
		s.readClosely([]pixels.Level{pixels.NewLevel(whole.Twice(), 0.5)})
	}
}

// needsFinest reports whether nothing was found yet, or symbols for which the
// finest level is needed.
func (s *search) needsFinest() bool {
	fine := func(f decode.Find) bool { return f.Module < fineModule }
	return len(s.finds) == 0 || slices.ContainsFunc(s.finds, fine)
}

// likelyReaders are those of the kinds that were found, as labels of one tray are of
// one kind. Where nothing was found the one for Data Matrix is left out: on the
// finest level it takes as long as all else, and a close look finds codes too.
func (s *search) likelyReaders() []reader {
	return slices.DeleteFunc(s.readers(), func(r reader) bool {
		if len(s.finds) == 0 {
			return r.symbol == fit.DataMatrix
		}
		return !slices.ContainsFunc(s.finds, func(f decode.Find) bool { return f.Symbol == r.symbol })
	})
}

// readClosely looks on some levels where nothing was found; for more of the kinds
// that were found, squares or bars, if any were.
func (s *search) readClosely(levels []pixels.Level) {
	squares := func(f decode.Find) bool { return f.Symbol != fit.Code128 }
	bars := func(f decode.Find) bool { return f.Symbol == fit.Code128 }
	alone := len(s.finds) == 0
	if s.ctx.Err() == nil && (alone || slices.ContainsFunc(s.finds, bars)) {
		s.tryOut(s.barsCandidates(levels), barsFailures)
	}
	if s.ctx.Err() != nil || len(s.finds) > 0 && !slices.ContainsFunc(s.finds, squares) {
		return
	}
	s.add(s.read(levels, []reader{{fit.QR, s.closeQR}}))
	s.rest = append(s.rest, s.tryOut(s.squareCandidates(levels), squareFailures)...)
}
