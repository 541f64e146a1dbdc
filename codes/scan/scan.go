// Package scan turns what comes in into texts: the lines of a hand scanner
// (Lines), the symbols on pictures (Decode, Picture) and on the pages of PDFs
// (Renderer, File). It does not know what the texts mean.
//
// A picture is searched by finders of this package: rows for the finder
// patterns of QR codes, connected pieces of print for the solid border of Data
// Matrix, areas of parallel gradients for bars. Each place that looks right is
// sampled, to parts of a pixel, and what was sampled goes through the error
// correction or check symbol of an independent decoding library.
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
	Symbol string          // QR, DataMatrix or Code128
	Page   int             // of a PDF, from 1; 0 for a picture
	Place  image.Rectangle // the box around the symbol, in pixels of the picture or of the rendered page
	Module float64         // the side of a module, in the same pixels; 0 when it is not known
}

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
	var asking sync.Mutex
	accept := func(text string) bool {
		asking.Lock()
		defer asking.Unlock()
		return wanted == nil || wanted(text)
	}
	finds := merge(search(ctx, g, accept))
	if len(finds) == 0 && ctx.Err() == nil {
		finds = merge(readWhole(ctx, g, accept))
	}
	founds := make([]Found, len(finds))
	for i, f := range finds {
		founds[i] = Found{Text: f.text, Symbol: f.symbol, Place: f.box(g).Add(picture.Bounds().Min), Module: f.module}
	}
	sortReading(founds)
	return founds, context.Cause(ctx)
}

// search runs the three readers on the picture and on it halved, quartered and
// so on: each level is searched for modules of about 2 to 8 pixels. It gives
// what was found, finest level first, in pixels of the whole picture.
func search(ctx context.Context, g *grey, accept func(string) bool) []find {
	var jobs []func() []find
	for scale := 1.0; min(g.width, g.height) >= leastSide; g, scale = g.half(), 2*scale {
		level, scale := g, scale
		t := sync.OnceValue(func() *thresholds { return newThresholds(level) })
		jobs = append(jobs,
			func() []find { return scaled(readQR(ctx, level, t(), accept), scale) },
			func() []find { return scaled(readMatrices(ctx, level, t(), accept), scale) },
			func() []find { return scaled(readBars(ctx, level, accept), scale) })
	}
	results := make([][]find, len(jobs))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		workers.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(jobs)); i = next.Add(1) - 1 {
				results[i] = jobs[i]()
			}
		})
	}
	workers.Wait()
	return slices.Concat(results...)
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

// sortReading puts finds of one page in reading order. Two stand on one line
// when the middle of the lower one is above the bottom of the line's first.
func sortReading(founds []Found) {
	byTop := func(a, b Found) int {
		return cmp.Or(cmp.Compare(a.Place.Min.Y, b.Place.Min.Y), cmp.Compare(a.Place.Min.X, b.Place.Min.X), cmp.Compare(a.Text, b.Text))
	}
	slices.SortFunc(founds, byTop)
	for len(founds) > 0 {
		line := 1
		for line < len(founds) && (founds[line].Place.Min.Y+founds[line].Place.Max.Y)/2 < founds[0].Place.Max.Y {
			line++
		}
		slices.SortFunc(founds[:line], func(a, b Found) int {
			return cmp.Or(cmp.Compare(a.Place.Min.X, b.Place.Min.X), byTop(a, b))
		})
		founds = founds[line:]
	}
}
