package labels

import (
	"cmp"
	"fmt"

	"graftslip/layouts"
)

// paragraph is one thing that a label or card says.
type paragraph struct {
	column string     // of the manifest, for errors; empty when a length is given by the program
	ways   [][]string // how it may be broken into lines, the best first
	weight Weight
	share  float64 // its size as a share of the block's
	most   float64 // largest size, points
	foot   bool    // stands at the bottom of its block

	reaches []reach // of each way, once measured
}

// reach is how far the lines of one way of a paragraph reach, in mm at 1 pt.
type reach struct{ width, above, below float64 }

// measured returns the paragraphs with the reaches of their ways.
func measured(face *Typeface, paragraphs []paragraph) []paragraph {
	all := make([]paragraph, len(paragraphs))
	for i, p := range paragraphs {
		p.reaches = make([]reach, len(p.ways))
		for w, lines := range p.ways {
			for _, line := range lines {
				e := face.measure(line, 1, p.weight)
				r := &p.reaches[w]
				r.width, r.above, r.below = max(r.width, e.width()), max(r.above, e.top), max(r.below, -e.bottom)
			}
		}
		all[i] = p
	}
	return all
}

// widened returns measured paragraphs that reach as far as others, measured
// and of the same ways, do.
func widened(paragraphs, others []paragraph) []paragraph {
	for i := range paragraphs {
		for w := range paragraphs[i].reaches {
			r, other := &paragraphs[i].reaches[w], others[i].reaches[w]
			r.width, r.above, r.below = max(r.width, other.width), max(r.above, other.above), max(r.below, other.below)
		}
	}
	return paragraphs
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

// setting is how a paragraph was fitted: one of its ways in a style. It stays
// valid for another paragraph of the same ways with shorter texts.
type setting struct {
	style
	way int
}

// block is a stack of paragraphs fitted into a width and a height.
type block struct {
	size     float64 // points; the size of a paragraph with share 1
	height   float64 // mm
	settings [mostParagraphs]setting
}

// mostParagraphs is how many paragraphs a block has at the most.
const mostParagraphs = 8

// fit sets measured paragraphs as large as the room allows, from most down to
// LeastSize points. A paragraph is rather shrunk than broken, until breaking it
// gains much. It reports whether everything fits.
func fit(paragraphs []paragraph, room layouts.Size, most float64) (block, bool) {
	whole, wholeFits := fitWays(paragraphs, room, most, false)
	broken, brokenFits := fitWays(paragraphs, room, most, true)
	const muchLarger = 1.25
	if wholeFits && whole.size*muchLarger >= broken.size {
		return whole, true
	}
	return broken, brokenFits
}

func fitWays(paragraphs []paragraph, room layouts.Size, most float64, breakNames bool) (block, bool) {
	const step = 0.25
	for size := most; size >= LeastSize; size -= step {
		// Where the first paragraph is held small by its width, the others may
		// still be set larger than their share.
		for _, stretch := range []float64{1.5, 1.35, 1.2, 1.1, 1} {
			if b, fits := fitAt(paragraphs, room, size, stretch, breakNames); fits {
				return b, true
			}
		}
	}
	return block{}, false
}

// fitAt sets paragraphs at one size. The shares of all but the first are
// stretched where the width allows it, none beyond the paragraph before it.
func fitAt(paragraphs []paragraph, room layouts.Size, size, stretch float64, breakNames bool) (block, bool) {
	b := block{size: size}
	before := size
	for i, p := range paragraphs {
		ways := len(p.ways)
		if p.column != "" && !breakNames {
			ways = 1
		}
		var s setting
		fits := false
		if i > 0 {
			s, fits = fitParagraph(p, 1, min(before, size*p.share*stretch), room.Width)
		}
		if !fits {
			s, fits = fitParagraph(p, ways, size*p.share, room.Width)
		}
		if !fits {
			return block{}, false
		}
		before = s.size
		b.settings[i] = s
		b.height += float64(len(p.ways[s.way])) * s.pitch()
	}
	b.height -= b.settings[0].leading() // none above the first line
	return b, b.height <= room.Height
}

// fitParagraph sets a paragraph in the first of so many of its ways that is not
// too wide.
func fitParagraph(p paragraph, ways int, size, width float64) (setting, bool) {
	size = min(p.most, max(LeastSize, size))
	for i, r := range p.reaches[:ways] {
		if r.width*size <= width {
			em := size * millimetresPerPoint
			return setting{style{size, max(leastAscent*em, r.above*size), max(leastDescent*em, r.below*size)}, i}, true
		}
	}
	return setting{}, false
}

// misfit says which paragraph is at fault when a block does not fit: the first
// name that is too wide in every way, else the longest name, or the longest
// text where none is from the manifest.
func misfit(row int, paragraphs []paragraph, on string, room layouts.Size) *Error {
	worst := paragraphs[0]
	for _, p := range paragraphs {
		if _, fits := fitParagraph(p, len(p.ways), LeastSize, room.Width); !fits {
			worst = p
			break
		}
		if p.column != "" && (worst.column == "" || p.reaches[0].width > worst.reaches[0].width) {
			worst = p
		}
	}
	where := Where{row, cmp.Or(worst.column, labelColumn)}
	if worst.column == nurseryColumn {
		where.Row = 0
	}
	return noRoom(where, worst.ways[0][0], on, room, len(worst.ways))
}

// draw sets fitted paragraphs into an area of the canvas: the feet at its
// bottom, all others from its top, each line at the left or in the middle. That
// a line leaves the area is an error of this package, told rather than printed.
func (b block) draw(c canvas, paragraphs []paragraph, area layouts.Rect, middle bool) error {
	y := area.Y
	foot := area.Y + area.Height
	for i, p := range paragraphs {
		if p.foot {
			s := b.settings[i]
			foot -= float64(len(p.ways[s.way])) * s.pitch()
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
				*at += s.leading()
			}
			first = false
			x := area.X
			if middle {
				x += (area.Width - c.face.measure(line, s.size, p.weight).width()) / 2
			}
			if ink := c.text(line, s.size, p.weight, x, *at+s.ascent); !area.Contains(ink) {
				return fmt.Errorf("internal error: %q was measured to fit, and does not", line)
			}
			*at += s.ascent + s.descent
		}
	}
	return nil
}
