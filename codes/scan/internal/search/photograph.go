package search

import (
	"context"
	"slices"
	"sync"

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
	l := &search{ctx: ctx, levels: levels, accept: accept}
	l.look()
	if len(l.finds) == 0 && ctx.Err() == nil {
		l.keep(decode.ByLibrary(ctx, g, l.accept))
	}
	if ctx.Err() != nil {
		return l.finds, nil
	}
	return l.finds, l.allMissed()
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

// search is the search of one photograph.
type search struct {
	ctx    context.Context
	levels []pixels.Level
	accept func(string) bool
	finds  []decode.Find // in pixels of the whole picture
	rest   []candidate   // squares that were not tried
	// contested are places where more than one text was read.
	contested []decode.Find

	missing sync.Mutex // guards:
	missed  []Missed
}

// keep adds what was found to the rest, each symbol once. Where two texts claim
// one place neither is told: a wrong text is worse than none.
func (l *search) keep(finds []decode.Find) {
	for _, f := range finds {
		at := slices.IndexFunc(l.finds, func(k decode.Find) bool {
			return k.Holds(f.Middle()) && f.Holds(k.Middle()) || k.Symbol == f.Symbol && (k.Holds(f.Middle()) || f.Holds(k.Middle()))
		})
		switch {
		case at < 0 && !decode.Within(l.contested, f.Middle()):
			l.finds = append(l.finds, f)
		case at >= 0 && l.finds[at].Text != f.Text:
			l.contested = append(l.contested, l.finds[at])
			l.finds = slices.Delete(l.finds, at, at+1)
		}
	}
}

// look searches from the cheap to the thorough and from coarse to fine. Where
// it has found symbols it goes on to look for more of their size alone.
func (l *search) look() {
	fine, coarse := l.levels[:1], l.levels[1:]
	if l.levels[0].Width*l.levels[0].Height <= finePixels {
		fine, coarse = nil, l.levels
	}
	l.keep(readLevels(l.ctx, coarse, allReaders(), l.accept))
	l.closely(coarse)
	if len(fine) > 0 && l.small() {
		l.keep(readLevels(l.ctx, fine, l.readers(), l.accept))
		l.closely(fine)
	}
	if len(l.finds) > 0 {
		return
	}
	l.try(l.rest, lastFailures)
	if whole := l.levels[0]; len(l.finds) == 0 && whole.Width*whole.Height <= smallPixels {
		l.closely([]pixels.Level{pixels.NewLevel(whole.Twice(), 0.5)})
	}
}

// small reports whether nothing was found yet, or symbols for which the finest
// level is needed.
func (l *search) small() bool {
	return len(l.finds) == 0 || slices.ContainsFunc(l.finds, func(f decode.Find) bool { return f.Module < fineModule })
}

// readers are those of the kinds that were found, as labels of one tray are of
// one kind. Where nothing was found the one for Data Matrix is left out: on the
// finest level it takes as long as all else, and a close look finds codes too.
func (l *search) readers() []reader {
	return slices.DeleteFunc(allReaders(), func(r reader) bool {
		if len(l.finds) == 0 {
			return r.symbol == fit.DataMatrix
		}
		return !slices.ContainsFunc(l.finds, func(f decode.Find) bool { return f.Symbol == r.symbol })
	})
}

// closely looks on some levels where nothing was found; for more of the kinds
// that were found, squares or bars, if any were.
func (l *search) closely(levels []pixels.Level) {
	squares := func(f decode.Find) bool { return f.Symbol != fit.Code128 }
	bars := func(f decode.Find) bool { return f.Symbol == fit.Code128 }
	alone := len(l.finds) == 0
	if l.ctx.Err() == nil && (alone || slices.ContainsFunc(l.finds, bars)) {
		l.try(l.barsCandidates(levels), barsFailures)
	}
	if l.ctx.Err() != nil || len(l.finds) > 0 && !slices.ContainsFunc(l.finds, squares) {
		return
	}
	var jobs []func() []decode.Find
	for _, v := range levels {
		jobs = append(jobs, func() []decode.Find {
			if l.ctx.Err() != nil {
				return nil
			}
			return decode.Scaled(closeQR(&v, l), v.Scale)
		})
	}
	l.keep(together(jobs))
	l.rest = append(l.rest, l.try(l.squareCandidates(levels), squareFailures)...)
}
