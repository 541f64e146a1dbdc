// Package scan turns what comes in into texts: the lines of a hand scanner
// (Lines), the symbols on pictures (Picture), on photographs
// (Photograph) and on the pages of PDFs (Renderer, File). It does not know what
// the texts mean.
//
// A picture is searched by finders of this package: rows for the finder
// patterns of QR codes, connected pieces of print for the solid border of Data
// Matrix, areas of parallel gradients for bars. Each place that looks right is
// sampled, to parts of a pixel, and what was sampled goes through the error
// correction or check symbol of an independent decoding library.
//
// A photograph is searched closely, too: grids of modules are laid over all
// that looks like a symbol, in perspective and bent, and moved to where their
// known modules are met; damaged codewords and characters are restored by
// package restore from what is sure of them.
package scan

import (
	"cmp"
	"context"
	"image"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// Found is one text read off a picture.
type Found struct {
	Text   string
	Symbol string // QR, DataMatrix or Code128
	Sight
}

// Sight is where something is seen on a picture, in pixels of the picture or of
// the rendered page. The middle of the first pixel is at (0.5, 0.5).
type Sight struct {
	Place   image.Rectangle // the box around it
	Corners [4]Point        // of the symbol without its quiet zone, round it, from its own upper left; of a mirrored one counterclockwise
	Module  float64         // the side of a module; 0 when it is not known
}

// Point is a position on a picture.
type Point struct{ X, Y float64 }

// leastSide is the shorter side, in pixels, of the smallest picture that is
// searched.
const leastSide = 16

// Picture reads every QR code, Data Matrix and Code 128 on a picture, whichever
// way up and light on dark too, and gives them in reading order: from top to
// bottom, those on one line from left to right. Each symbol comes once; the
// same text in two places comes twice. A text for which wanted is false is left
// out; that it is a valid code is a second proof of a right reading. A nil
// wanted takes every text. wanted is called by one goroutine at a time.
//
// A picture without a symbol gives an empty list. The only error is the
// context's, beside the symbols found until then.
func Picture(ctx context.Context, picture image.Image, wanted func(text string) bool) ([]Found, error) {
	g := newGrey(picture)
	if min(g.width, g.height) < leastSide {
		return nil, context.Cause(ctx)
	}
	wanted = oneAtATime(wanted)
	finds := merge(search(ctx, levelsOf(g), allReaders(), wanted))
	if len(finds) == 0 && ctx.Err() == nil {
		finds = merge(readWhole(ctx, g, wanted))
	}
	return foundOn(g, picture.Bounds().Min, finds), context.Cause(ctx)
}

// oneAtATime keeps goroutines from asking at once. A nil wanted takes all.
func oneAtATime(wanted func(string) bool) func(string) bool {
	var asking sync.Mutex
	return func(text string) bool {
		asking.Lock()
		defer asking.Unlock()
		return wanted == nil || wanted(text)
	}
}

// foundOn gives finds as they are told, on a picture whose upper left corner is
// at a place.
func foundOn(g *grey, corner image.Point, finds []find) []Found {
	founds := make([]Found, len(finds))
	for i, f := range finds {
		founds[i] = Found{f.text, f.symbol, f.sight(g, corner)}
	}
	sortReading(founds, func(f Found) Sight { return f.Sight })
	return founds
}

// level is a picture made smaller by a whole scale, for modules of about 2 to 8
// pixels.
type level struct {
	*grey
	scale      float64
	thresholds func() *thresholds
	contrast   func() *contrast
}

func newLevel(g *grey, scale float64) level {
	t := sync.OnceValue(func() *thresholds { return newThresholds(g) })
	return level{g, scale, t, sync.OnceValue(func() *contrast { return newContrast(g, t()) })}
}

// levelsOf gives a picture, and it halved, quartered and so on.
func levelsOf(g *grey) []level {
	var levels []level
	for scale := 1.0; min(g.width, g.height) >= leastSide; g, scale = g.half(), 2*scale {
		levels = append(levels, newLevel(g, scale))
	}
	return levels
}

// reader reads one kind of symbol on a level.
type reader struct {
	symbol string
	read   func(ctx context.Context, g *grey, t *thresholds, accept func(string) bool) []find
}

func allReaders() []reader {
	return []reader{{QR, readQR}, {DataMatrix, readMatrices}, {Code128, readBars}}
}

// search runs readers on each level. It gives what was found, finest level
// first, in pixels of the whole picture.
func search(ctx context.Context, levels []level, readers []reader, accept func(string) bool) []find {
	var jobs []func() []find
	for _, l := range levels {
		for _, r := range readers {
			jobs = append(jobs, func() []find {
				if ctx.Err() != nil {
					return nil
				}
				return scaled(r.read(ctx, l.grey, l.thresholds(), accept), l.scale)
			})
		}
	}
	return together(jobs)
}

// together runs jobs on all processors and gives their results in order.
func together(jobs []func() []find) []find {
	results := make([][]find, len(jobs))
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

func scaled(finds []find, scale float64) []find {
	for i := range finds {
		finds[i].module *= scale
		for c := range finds[i].corners {
			finds[i].corners[c] = finds[i].corners[c].mul(scale)
		}
	}
	return finds
}

// merge keeps one find of each symbol, the first.
func merge(finds []find) []find {
	var kept []find
	for _, f := range finds {
		if !slices.ContainsFunc(kept, func(k find) bool {
			return k.symbol == f.symbol && (k.holds(f.middle()) || f.holds(k.middle()))
		}) {
			kept = append(kept, f)
		}
	}
	return kept
}

func (f find) middle() point {
	sum := point{}
	for _, c := range f.corners {
		sum = sum.add(c)
	}
	return sum.mul(0.25)
}

// holds reports whether a position lies within the corners, which go clockwise
// or, of a mirrored symbol, counterclockwise.
func (f find) holds(p point) bool {
	left, right := false, false
	for i, c := range f.corners {
		side := f.corners[(i+1)%4].sub(c).cross(p.sub(c))
		left, right = left || side < 0, right || side > 0
	}
	return !left || !right
}

// sight is where a find lies on a picture whose upper left corner is at a place.
func (f find) sight(g *grey, corner image.Point) Sight {
	s := Sight{Place: f.box(g).Add(corner), Module: f.module}
	for i, c := range f.corners {
		s.Corners[i] = Point{c.x + float64(corner.X), c.y + float64(corner.Y)}
	}
	return s
}

// box is the smallest box of whole pixels around a find, within the picture.
func (f find) box(g *grey) image.Rectangle {
	low, high := f.corners[0], f.corners[0]
	for _, c := range f.corners[1:] {
		low = point{min(low.x, c.x), min(low.y, c.y)}
		high = point{max(high.x, c.x), max(high.y, c.y)}
	}
	const whole = 0.2 // of a pixel: less of one does not count
	return image.Rect(int(math.Floor(low.x+whole)), int(math.Floor(low.y+whole)),
		int(math.Ceil(high.x-whole)), int(math.Ceil(high.y-whole))).Intersect(image.Rect(0, 0, g.width, g.height))
}

// sortReading puts what is seen on one page in reading order. Two stand on one
// line when the middle of the lower one is above the bottom of the line's first.
func sortReading[T any](all []T, sight func(T) Sight) {
	byTop := func(a, b T) int {
		p, q := sight(a).Place.Min, sight(b).Place.Min
		return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(p.X, q.X))
	}
	byLeft := func(a, b T) int { return cmp.Compare(sight(a).Place.Min.X, sight(b).Place.Min.X) }
	slices.SortStableFunc(all, byTop)
	for len(all) > 0 {
		bottom, line := sight(all[0]).Place.Max.Y, 1
		for ; line < len(all); line++ {
			if p := sight(all[line]).Place; (p.Min.Y+p.Max.Y)/2 >= bottom {
				break
			}
		}
		slices.SortStableFunc(all[:line], byLeft)
		all = all[line:]
	}
}
