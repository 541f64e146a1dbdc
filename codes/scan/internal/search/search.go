// Package search reads all symbols of a picture: it decides where to look, how
// closely and in which order.
package search

import (
	"context"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// Picture reads the symbols of a picture that are whole, on all its levels.
func Picture(ctx context.Context, g *pixels.Grey, accept func(string) bool) []decode.Find {
	s := &search{ctx: ctx, levels: pixels.Levels(g), accept: accept}
	if len(s.levels) == 0 {
		return nil
	}
	finds := merge(s.read(s.levels, s.readers()))
	if len(finds) == 0 && ctx.Err() == nil {
		finds = decode.ByLibrary(ctx, g, accept)
	}
	return finds
}

// search is the search of one picture.
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

// reader reads one kind of symbol on a level.
type reader struct {
	symbol string
	read   func(v *pixels.Level) []decode.Find
}

func (s *search) readers() []reader {
	return []reader{{fit.QR, s.readQR}, {fit.DataMatrix, s.readMatrices}, {fit.Code128, s.readBars}}
}

// read runs readers on each level. It gives what was found, finest level first,
// in pixels of the whole picture.
func (s *search) read(levels []pixels.Level, readers []reader) []decode.Find {
	return collect(s.ctx, len(levels)*len(readers), func(i int) []decode.Find {
		v := &levels[i/len(readers)]
		finds := readers[i%len(readers)].read(v)
		for i := range finds {
			finds[i] = finds[i].Scaled(v.Scale)
		}
		return finds
	})
}

// collect gives what get gives for each of the numbers below count, in order, and
// works on all processors. Once the context has ended it gets no more.
func collect[T any](ctx context.Context, count int, get func(i int) []T) []T {
	results := make([][]T, count)
	forAll(count, func(i int) {
		if ctx.Err() == nil {
			results[i] = get(i)
		}
	})
	return slices.Concat(results...)
}

// forAll does something for each of the numbers below count, on all processors.
func forAll(count int, do func(i int)) {
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), count) {
		workers.Go(func() {
			for i := next.Add(1) - 1; i < int64(count); i = next.Add(1) - 1 {
				do(int(i))
			}
		})
	}
	workers.Wait()
}

// merge keeps one find of each symbol, the first.
func merge(finds []decode.Find) []decode.Find {
	var kept []decode.Find
	for _, f := range finds {
		if !slices.ContainsFunc(kept, func(k decode.Find) bool {
			return k.Symbol == f.Symbol && (k.Holds(f.Middle()) || f.Holds(k.Middle()))
		}) {
			kept = append(kept, f)
		}
	}
	return kept
}
