package labels

import (
	"slices"
	"strings"

	"graftslip/layouts"
)

// paragraph is one thing that a slip says.
type paragraph struct {
	column string     // of the manifest, for errors; empty when a length is given by the program
	ways   [][]string // how it may be broken into lines, the best first
	weight Weight
	share  float64 // its size as a share of the block's
	most   float64 // largest size, points
	foot   bool    // stands at the bottom of its block
	centre bool    // each line stands in the middle
}

// name makes a paragraph of a name, which may be broken into two lines between
// words.
func name(face *Typeface, column, text string, weight Weight, share, most float64) paragraph {
	return breakable(face, 2, paragraph{column: column, ways: [][]string{{text}}, weight: weight, share: share, most: most})
}

// breakable adds the ways in which a paragraph of one line is broken into up
// to the given number of lines.
func breakable(face *Typeface, lines int, p paragraph) paragraph {
	pieces := unbreakable(p.ways[0][0])
	for n := 2; n <= min(lines, len(pieces)); n++ {
		p.ways = append(p.ways, breakInto(face, pieces, p.weight, n))
	}
	return p
}

// unbreakable cuts a text at the spaces where a line may end. A hybrid sign or
// a bar stays with the word after it.
func unbreakable(text string) []string {
	var pieces []string
	start := 0
	for i := range len(text) {
		if text[i] != ' ' || strings.HasSuffix(text[:i], "×") || strings.HasSuffix(text[:i], "/") {
			continue
		}
		pieces, start = append(pieces, text[start:i]), i+1
	}
	return append(pieces, text[start:])
}

// breakInto sets pieces in at most n lines so that the widest line is as narrow
// as can be. The least width is the width of some run of pieces, so trying
// those in turn finds it.
func breakInto(face *Typeface, pieces []string, weight Weight, n int) []string {
	var widths []float64
	for from := range pieces {
		for to := from + 1; to <= len(pieces); to++ {
			widths = append(widths, face.measure(strings.Join(pieces[from:to], " "), 1, weight).width())
		}
	}
	slices.Sort(widths)
	for _, width := range widths {
		if lines := fill(face, pieces, weight, width); len(lines) > 0 && len(lines) <= n {
			return lines
		}
	}
	return []string{strings.Join(pieces, " ")}
}

// fill sets as many pieces on each line as its width takes, or returns none
// when a single piece is too wide.
func fill(face *Typeface, pieces []string, weight Weight, width float64) []string {
	var lines []string
	for _, piece := range pieces {
		if face.measure(piece, 1, weight).width() > width {
			return nil
		}
		if last := len(lines) - 1; last >= 0 {
			if longer := lines[last] + " " + piece; face.measure(longer, 1, weight).width() <= width {
				lines[last] = longer
				continue
			}
		}
		lines = append(lines, piece)
	}
	return lines
}

// Room between lines, as a share of the size of the lower one.
const leading = 0.2

// Line heights above and below the baseline in em, unless a glyph needs more.
const (
	leastAscent  = 0.76 // a capital
	leastDescent = 0.22 // a tail
)

// setting is how a paragraph was fitted: one of its ways at a size. It stays
// valid for another paragraph of the same ways with shorter texts.
type setting struct {
	way             int
	size            float64
	ascent, descent float64 // mm, of each line
}

// block is a stack of paragraphs fitted into a width and a height.
type block struct {
	size     float64 // points; the size of a paragraph with share 1
	height   float64 // mm
	settings []setting
}

// fit sets paragraphs as large as the room allows, from most down to LeastSize
// points. A paragraph is rather shrunk than broken, until breaking it gains
// much. It reports whether everything fits.
func fit(face *Typeface, paragraphs []paragraph, room layouts.Size, most float64) (block, bool) {
	whole, wholeFits := fitWays(face, paragraphs, room, most, false)
	broken, brokenFits := fitWays(face, paragraphs, room, most, true)
	const muchLarger = 1.25
	if wholeFits && whole.size*muchLarger >= broken.size {
		return whole, true
	}
	return broken, brokenFits
}

func fitWays(face *Typeface, paragraphs []paragraph, room layouts.Size, most float64, breakNames bool) (block, bool) {
	const step = 0.25
	for size := most; size >= LeastSize; size -= step {
		// Where the first paragraph is held small by its width, the others may
		// still be set larger than their share.
		for _, stretch := range []float64{1.5, 1.35, 1.2, 1.1, 1} {
			if b, fits := fitAt(face, paragraphs, room, size, stretch, breakNames); fits {
				return b, true
			}
		}
	}
	return block{}, false
}

// fitAt sets paragraphs at one size. The shares of all but the first are
// stretched where the width allows it, none beyond the paragraph before it.
func fitAt(face *Typeface, paragraphs []paragraph, room layouts.Size, size, stretch float64, breakNames bool) (block, bool) {
	b := block{size: size}
	before := size
	for i, p := range paragraphs {
		ways := p.ways
		if p.column != "" && !breakNames {
			ways = ways[:1]
		}
		var s setting
		fits := false
		if i > 0 {
			s, fits = fitParagraph(face, p, ways[:1], min(before, size*p.share*stretch), room.Width)
		}
		if !fits {
			s, fits = fitParagraph(face, p, ways, size*p.share, room.Width)
		}
		if !fits {
			return block{}, false
		}
		before = s.size
		b.settings = append(b.settings, s)
		b.height += s.height(len(p.ways[s.way]))
	}
	b.height -= leading * b.settings[0].size * millimetresPerPoint // none above the first line
	return b, b.height <= room.Height
}

func fitParagraph(face *Typeface, p paragraph, ways [][]string, size, width float64) (setting, bool) {
	size = min(p.most, max(LeastSize, size))
	for i, lines := range ways {
		s := setting{way: i, size: size, ascent: leastAscent * size * millimetresPerPoint, descent: leastDescent * size * millimetresPerPoint}
		widest := 0.0
		for _, line := range lines {
			e := face.measure(line, size, p.weight)
			widest = max(widest, e.width())
			s.ascent, s.descent = max(s.ascent, e.top), max(s.descent, -e.bottom)
		}
		if widest <= width {
			return s, true
		}
	}
	return setting{}, false
}

// draw sets fitted paragraphs into an area of the canvas: the feet at its
// bottom, all others from its top.
func (b block) draw(c canvas, paragraphs []paragraph, area layouts.Rect) {
	y := area.Y
	foot := area.Y + area.Height
	for i, p := range paragraphs {
		if p.foot {
			foot -= b.settings[i].height(len(p.ways[b.settings[i].way]))
		}
	}
	first := true
	for i, p := range paragraphs {
		s := b.settings[i]
		at := &y
		if p.foot {
			at = &foot
		}
		for _, line := range p.ways[s.way] {
			if !first {
				*at += leading * s.size * millimetresPerPoint
			}
			first = false
			x := area.X
			if p.centre {
				x += (area.Width - c.face.measure(line, s.size, p.weight).width()) / 2
			}
			c.text(line, s.size, p.weight, x, *at+s.ascent)
			*at += s.ascent + s.descent
		}
	}
}

func (s setting) height(lines int) float64 {
	return float64(lines) * (s.ascent + s.descent + leading*s.size*millimetresPerPoint)
}
