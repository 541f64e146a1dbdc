// Package scan turns what comes in into texts: the lines of a hand scanner
// (Lines), the symbols on pictures (Picture), on photographs (Photograph) and in
// files, the pages of PDFs among them (Renderer). It does not know what the
// texts mean.
//
// A picture is searched for finder patterns of QR codes, borders of Data Matrix
// and parallel bars that are whole; what is found there is sampled, to parts of
// a pixel, and decoded by an independent library. A photograph is searched
// closely, too: grids of modules are laid over all that looks like a symbol, in
// perspective and bent, and moved to where their known modules are met; damaged
// symbols are restored from what is sure of them.
//
// The packages below, each of which imports only those after it: search (where
// to look, in which order), decode (modules to text), fit (how the modules lie),
// locate (where symbols may be), pixels. Beside them files (what a file is) and
// pages (of PDFs).
package scan

import (
	"cmp"
	"context"
	"image"
	"math"
	"slices"
	"sync"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/search"
)

// Names of the symbols, as in Found.
const (
	QR         = fit.QR
	DataMatrix = fit.DataMatrix
	Code128    = fit.Code128
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
type Point = pixels.Point

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
	g := pixels.NewGrey(picture)
	return foundOn(g, picture.Bounds().Min, search.Picture(ctx, g, oneAtATime(wanted))), context.Cause(ctx)
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
func foundOn(g *pixels.Grey, corner image.Point, finds []decode.Find) []Found {
	founds := make([]Found, len(finds))
	for i, f := range finds {
		founds[i] = Found{f.Text, f.Symbol, sightOf(f, g, corner)}
	}
	sortReading(founds, func(f Found) Sight { return f.Sight })
	return founds
}

// sightOf is where a find lies on a picture whose upper left corner is at a place.
func sightOf(f decode.Find, g *pixels.Grey, corner image.Point) Sight {
	s := Sight{Place: boxOf(f, g).Add(corner), Module: f.Module}
	for i, c := range f.Corners {
		s.Corners[i] = pixels.Pt(c.X+float64(corner.X), c.Y+float64(corner.Y))
	}
	return s
}

// boxOf is the smallest box of whole pixels around a find, within the picture.
func boxOf(f decode.Find, g *pixels.Grey) image.Rectangle {
	low, high := f.Corners[0], f.Corners[0]
	for _, c := range f.Corners[1:] {
		low = pixels.Pt(min(low.X, c.X), min(low.Y, c.Y))
		high = pixels.Pt(max(high.X, c.X), max(high.Y, c.Y))
	}
	const whole = 0.2 // of a pixel: less of one does not count
	return image.Rect(int(math.Floor(low.X+whole)), int(math.Floor(low.Y+whole)),
		int(math.Ceil(high.X-whole)), int(math.Ceil(high.Y-whole))).Intersect(image.Rect(0, 0, g.Width, g.Height))
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

// Reading is what was read off a photograph, and what was not.
type Reading struct {
	Found  []Found  // in reading order
	Missed []Missed // in reading order: what looks like a symbol and cannot be read
}

// Photograph reads a picture as Picture does and searches it thoroughly: for
// symbols that are bent, blurred, dirty, torn or badly lit, whose texts wanted
// proves right; it is called by one goroutine at a time. It says what it saw and
// could not read, and why; that list is empty when wanted is nil, since then
// nothing is searched for beyond what Picture finds.
//
// The only error is the context's, beside what was found until then and without
// what was missed.
func Photograph(ctx context.Context, picture image.Image, wanted func(text string) bool) (Reading, error) {
	if wanted == nil {
		founds, err := Picture(ctx, picture, nil)
		return Reading{Found: founds}, err
	}
	g, corner := pixels.NewGrey(picture), picture.Bounds().Min
	finds, misses := search.Photograph(ctx, g, oneAtATime(wanted))
	return Reading{foundOn(g, corner, finds), missedOn(g, corner, misses)}, context.Cause(ctx)
}

// missedOn gives misses as they are told, on a picture whose upper left corner
// is at a place.
func missedOn(g *pixels.Grey, corner image.Point, misses []search.Missed) []Missed {
	var result []Missed
	for _, m := range misses {
		result = append(result, Missed{m.Symbol, sightOf(m.Find, g, corner), m.Reason})
	}
	sortReading(result, func(m Missed) Sight { return m.Sight })
	return result
}
