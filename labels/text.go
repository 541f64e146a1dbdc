package labels

import (
	"math"
	"slices"
	"sort"
	"strings"
)

const (
	// leading is the room between lines, as a share of the size of the lower one.
	leading = 0.2

	// Line heights above and below the baseline in em, unless a glyph needs more.
	leastAscent  = 0.76 // a capital
	leastDescent = 0.22 // a tail
)

// style is how lines of text are set one below the other.
type style struct {
	size            float64 // points
	ascent, descent float64 // mm, of each line
}

// plain is the style of lines with usual letters.
func plain(size float64) style {
	em := size * millimetresPerPoint
	return style{size, leastAscent * em, leastDescent * em}
}

func (s style) leading() float64 { return leading * s.size * millimetresPerPoint }

// pitch is from one baseline to the next, in mm.
func (s style) pitch() float64 { return s.ascent + s.descent + s.leading() }

// height is that of so many lines with the leading between them, in mm.
func (s style) height(lines int) float64 { return float64(lines)*s.pitch() - s.leading() }

// holds is how many lines a height in mm holds.
func (s style) holds(height float64) int {
	const slack = 1e-6
	return int(math.Floor((height+s.leading())/s.pitch() + slack))
}

// set is a text broken into lines.
type set struct {
	style
	weight Weight
	lines  []string
}

// line is a text of one line.
func line(text string, size float64, weight Weight) set {
	return set{plain(size), weight, []string{text}}
}

func (t set) height() float64 { return t.style.height(len(t.lines)) }

// draw sets the lines with the first one's capitals at y, and returns where the
// last one's tails end.
func (t set) draw(c canvas, x, y float64) float64 {
	for i, line := range t.lines {
		c.text(line, t.size, t.weight, x, y+t.ascent+float64(i)*t.pitch())
	}
	return y + t.height()
}

// inFewLines breaks a text into lines no wider than a width in mm, as large as it
// may be and yet in few lines; at the smallest size in as many as it takes. It
// reports whether no word is too wide.
func inFewLines(face *Typeface, text string, weight Weight, width, most float64, few int) (set, bool) {
	pieces := unbreakable(text)
	const step = 0.5
	for size := most; size >= LeastSize; size -= step {
		if lines := fill(face, pieces, weight, width/size); len(lines) > 0 && (len(lines) <= few || size-step < LeastSize) {
			return set{plain(size), weight, lines}, true
		}
	}
	return line("", most, weight), false
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
// as can be. That width is the width of some run of pieces.
func breakInto(face *Typeface, pieces []string, weight Weight, n int) []string {
	var widths []float64
	for from := range pieces {
		for to := from + 1; to <= len(pieces); to++ {
			widths = append(widths, face.measure(strings.Join(pieces[from:to], " "), 1, weight).width())
		}
	}
	slices.Sort(widths)
	least := sort.Search(len(widths), func(i int) bool {
		lines := fill(face, pieces, weight, widths[i])
		return len(lines) > 0 && len(lines) <= n
	})
	return fill(face, pieces, weight, widths[least])
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
