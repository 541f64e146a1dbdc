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
	levels := pixels.Levels(g)
	if len(levels) == 0 {
		return nil
	}
	finds := merge(readLevels(ctx, levels, allReaders(), accept))
	if len(finds) == 0 && ctx.Err() == nil {
		finds = decode.ByLibrary(ctx, g, accept)
	}
	return finds
}

// reader reads one kind of symbol on a level.
type reader struct {
	symbol string
	read   func(ctx context.Context, g *pixels.Grey, t *pixels.Thresholds, accept func(string) bool) []decode.Find
}

func allReaders() []reader {
	return []reader{{fit.QR, readQR}, {fit.DataMatrix, readMatrices}, {fit.Code128, readBars}}
}

// readLevels runs readers on each level. It gives what was found, finest level
// first, in pixels of the whole picture.
func readLevels(ctx context.Context, levels []pixels.Level, readers []reader, accept func(string) bool) []decode.Find {
	var jobs []func() []decode.Find
	for _, l := range levels {
		for _, r := range readers {
			jobs = append(jobs, func() []decode.Find {
				if ctx.Err() != nil {
					return nil
				}
				return scaled(r.read(ctx, l.Grey, l.Thresholds(), accept), l.Scale)
			})
		}
	}
	return together(jobs)
}

// together runs jobs on all processors and gives their results in order.
func together(jobs []func() []decode.Find) []decode.Find {
	results := make([][]decode.Find, len(jobs))
	forAll(len(jobs), func(i int) { results[i] = jobs[i]() })
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

func scaled(finds []decode.Find, scale float64) []decode.Find {
	for i := range finds {
		finds[i] = finds[i].Scaled(scale)
	}
	return finds
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
