// Package scan reads texts: the lines of a hand scanner (Lines, Stream), and the
// symbols on pictures (Picture), on photographs (Photograph) and in files of
// pictures and PDFs (Renderer). It does not know what the texts mean.
//
// Picture finds undamaged symbols: by the finder patterns of QR codes, the
// borders of Data Matrix and parallel bars. It samples them to a fraction of a
// pixel and has an independent library decode them. Photograph also finds
// damaged symbols: it lays grids of modules, in perspective and bent, over
// everything that looks like a symbol, moves them to where the modules that
// every symbol has fit best, and restores the text from the modules that are
// sure.
//
// The internal packages import only those further down this list:
//
//	search   where to look, how closely and in which order
//	decode   sampled modules to text
//	fit      how the modules of a symbol lie on the picture
//	locate   where symbols may be
//	restore  the codewords of damaged symbols
//	pixels   luminance, thresholds, connected components
//
// Apart from these, files knows kinds of file and decodes pictures, and pages
// draws PDFs.
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
	Place image.Rectangle // the box around it
	// Corners are those of the symbol without its quiet zone, from its own upper
	// left, clockwise; counterclockwise if it is mirrored.
	Corners [4]Point
	Module  float64 // the side of a module; 0 if it is not known
}

// Point is a position on a picture.
type Point = pixels.Point

// Picture reads every QR code, Data Matrix and Code 128 on a picture, whichever
// way up, dark on light or light on dark. It returns them in reading order: top
// to bottom, and left to right within a line. It returns each symbol once, so a
// text that stands in two places comes twice.
//
// Picture leaves out texts for which wanted returns false: a text that is a valid
// code is a second proof that it was read right. A nil wanted takes every text.
// Only one goroutine at a time calls wanted.
//
// A picture without a symbol gives an empty list. The only error is the
// context's, together with the symbols found until then.
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

// foundOn returns finds in reading order, on a picture with its upper left corner
// at corner.
func foundOn(g *pixels.Grey, corner image.Point, finds []decode.Find) []Found {
	founds := make([]Found, len(finds))
	for i, f := range finds {
		founds[i] = Found{f.Text, f.Symbol, sightOf(f, g, corner)}
	}
	sortReading(founds, func(f Found) Sight { return f.Sight })
	return founds
}

// sightOf is where a find lies on a picture with its upper left corner at corner.
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

// sortReading sorts what is seen on one page into reading order. Two symbols are
// on one line if the middle of the lower is above the bottom of the line's first.
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

// Reading is what was read off a photograph, and what could not be read. Both
// are in reading order.
type Reading struct {
	Found  []Found
	Missed []Missed
}

// Photograph reads a picture as Picture does, and then searches it for symbols
// that are bent, blurred, dirty, torn or badly lit. Their texts count only if
// wanted accepts them; only one goroutine at a time calls it. Photograph also
// returns the symbols that it saw and could not read, with the reason.
//
// If wanted is nil, Photograph finds what Picture finds and reports nothing
// missed. The only error is the context's, together with the symbols found until
// then and none missed.
func Photograph(ctx context.Context, picture image.Image, wanted func(text string) bool) (Reading, error) {
	if wanted == nil {
		founds, err := Picture(ctx, picture, nil)
		return Reading{Found: founds}, err
	}
	g, corner := pixels.NewGrey(picture), picture.Bounds().Min
	finds, misses := search.Photograph(ctx, g, oneAtATime(wanted))
	return Reading{foundOn(g, corner, finds), missedOn(g, corner, misses)}, context.Cause(ctx)
}

// missedOn returns misses in reading order, on a picture with its upper left
// corner at corner.
func missedOn(g *pixels.Grey, corner image.Point, misses []search.Missed) []Missed {
	var result []Missed
	for _, m := range misses {
		result = append(result, Missed{m.Symbol, sightOf(m.Find, g, corner), m.Reason})
	}
	sortReading(result, func(m Missed) Sight { return m.Sight })
	return result
}
