package scan

import (
	"context"
	"image"
	"slices"
	"sync"
)

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
	g := newGrey(picture)
	if min(g.width, g.height) < leastSide {
		return Reading{}, context.Cause(ctx)
	}
	l := &looking{ctx: ctx, levels: levelsOf(g), accept: oneAtATime(wanted)}
	l.look()
	if len(l.finds) == 0 && ctx.Err() == nil {
		l.keep(readWhole(ctx, g, l.accept))
	}
	reading := Reading{Found: foundOn(g, picture.Bounds().Min, l.finds)}
	if ctx.Err() == nil {
		reading.Missed = l.missedOn(g, picture.Bounds().Min)
	}
	return reading, context.Cause(ctx)
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

// looking is the search of one photograph.
type looking struct {
	ctx    context.Context
	levels []level
	accept func(string) bool
	finds  []find      // in pixels of the whole picture
	rest   []candidate // squares that were not tried
	// contested are places where more than one text was read.
	contested []find

	missing sync.Mutex // guards:
	missed  []missed
}

// keep adds what was found to the rest, each symbol once. Where two texts claim
// one place neither is told: a wrong text is worse than none.
func (l *looking) keep(finds []find) {
	for _, f := range finds {
		at := slices.IndexFunc(l.finds, func(k find) bool {
			return k.holds(f.middle()) && f.holds(k.middle()) || k.symbol == f.symbol && (k.holds(f.middle()) || f.holds(k.middle()))
		})
		switch {
		case at < 0 && !within(l.contested, f.middle()):
			l.finds = append(l.finds, f)
		case at >= 0 && l.finds[at].text != f.text:
			l.contested = append(l.contested, l.finds[at])
			l.finds = slices.Delete(l.finds, at, at+1)
		}
	}
}

// look searches from the cheap to the thorough and from coarse to fine. Where
// it has found symbols it goes on to look for more of their size alone.
func (l *looking) look() {
	fine, coarse := l.levels[:1], l.levels[1:]
	if l.levels[0].width*l.levels[0].height <= finePixels {
		fine, coarse = nil, l.levels
	}
	l.keep(search(l.ctx, coarse, allReaders(), l.accept))
	l.closely(coarse)
	if len(fine) > 0 && l.small() {
		l.keep(search(l.ctx, fine, l.readers(), l.accept))
		l.closely(fine)
	}
	if len(l.finds) > 0 {
		return
	}
	l.try(l.rest, lastFailures)
	if whole := l.levels[0]; len(l.finds) == 0 && whole.width*whole.height <= smallPixels {
		l.closely([]level{newLevel(whole.twice(), 0.5)})
	}
}

// small reports whether nothing was found yet, or symbols for which the finest
// level is needed.
func (l *looking) small() bool {
	return len(l.finds) == 0 || slices.ContainsFunc(l.finds, func(f find) bool { return f.module < fineModule })
}

// readers are those of the kinds that were found, as labels of one tray are of
// one kind. Where nothing was found the one for Data Matrix is left out: on the
// finest level it takes as long as all else, and a close look finds codes too.
func (l *looking) readers() []reader {
	return slices.DeleteFunc(allReaders(), func(r reader) bool {
		if len(l.finds) == 0 {
			return r.symbol == DataMatrix
		}
		return !slices.ContainsFunc(l.finds, func(f find) bool { return f.symbol == r.symbol })
	})
}

// closely looks on some levels where nothing was found; for more of the kinds
// that were found, squares or bars, if any were.
func (l *looking) closely(levels []level) {
	squares := func(f find) bool { return f.symbol != Code128 }
	bars := func(f find) bool { return f.symbol == Code128 }
	alone := len(l.finds) == 0
	if l.ctx.Err() == nil && (alone || slices.ContainsFunc(l.finds, bars)) {
		l.try(l.barsCandidates(levels), barsFailures)
	}
	if l.ctx.Err() != nil || len(l.finds) > 0 && !slices.ContainsFunc(l.finds, squares) {
		return
	}
	var jobs []func() []find
	for _, v := range levels {
		jobs = append(jobs, func() []find {
			if l.ctx.Err() != nil {
				return nil
			}
			return scaled(lookQR(&v, l), v.scale)
		})
	}
	l.keep(together(jobs))
	l.rest = append(l.rest, l.try(l.squareCandidates(levels), squareFailures)...)
}
