package search

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// candidate is a place that may hold a symbol, in pixels of the whole picture.
type candidate struct {
	middle pixels.Point
	score  float64 // how likely; compared with those of its own kind
	side   float64 // of a square symbol of such print
	read   func() (decode.Find, bool)
}

// How many candidates may hold nothing until the rest is given up.
const (
	squareFailures = 45
	barsFailures   = 16
	lastFailures   = 60 // squares more, where nothing was found
	// partBeside is the part of them that is tried where symbols were found and
	// only more of their size are looked for; where many were found, more may be
	// left.
	partBeside = 0.25
)

// tryOut reads candidates, the likeliest first, on all processors, until so many
// have held nothing. It passes over those where something was found, and gives
// back those that it has not tried.
func (s *search) tryOut(all []candidate, failures int) (rest []candidate) {
	if sides := s.sides(); len(sides) > 0 {
		failures = int(math.Ceil(partBeside*float64(failures))) + len(sides)/2
		all = slices.DeleteFunc(all, func(c candidate) bool {
			return !slices.ContainsFunc(sides, func(side float64) bool { return alike(side, c.side) })
		})
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(b.score, a.score) })
	var access sync.Mutex
	next := 0
	take := func() (candidate, bool) {
		access.Lock()
		defer access.Unlock()
		for next < len(all) && decode.Within(s.finds, all[next].middle) {
			next++
		}
		if next == len(all) || failures <= 0 || s.ctx.Err() != nil {
			return candidate{}, false
		}
		next++
		return all[next-1], true
	}
	forAll(runtime.GOMAXPROCS(0), func(int) {
		for c, ok := take(); ok; c, ok = take() {
			f, read := c.read()
			access.Lock()
			if read {
				s.add([]decode.Find{f})
			} else {
				failures--
			}
			access.Unlock()
		}
	})
	return all[next:]
}

// sides gives the sides of the square symbols that were found, or those that a
// square symbol would have with modules like those of the bars.
func (s *search) sides() []float64 {
	var sides []float64
	for _, f := range s.finds {
		if f.Symbol == fit.Code128 {
			sides = append(sides, 17*f.Module)
		} else {
			sides = append(sides, f.Corners[0].Distance(f.Corners[2])/math.Sqrt2)
		}
	}
	return sides
}

// alike reports whether symbols of two sides may be print of one size, seen
// from about as near.
func alike(a, b float64) bool { return a < 1.5*b && b < 1.5*a }
