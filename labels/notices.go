package labels

import (
	"fmt"
	"slices"
	"strings"

	"graftslip/layouts"
)

// notice is one thing that a ruler page says.
type notice struct {
	text   string
	weight Weight
}

// Sizes of the words on a ruler page, in points, and their measures in mm.
const (
	largestNotice = 10.0
	noticeStep    = 0.5
	labelEdge     = 1.2  // between words and the outline of a label or a number
	besideNumber  = 0.8  // more of it beside a number
	widestNotice  = 120. // beyond it a line is hard to follow
	lineForPen    = 6.0
	widePen       = 27.0 // a word and its line
)

// notices are the words above the lines for the pen. across and down are the
// marks of the two rules that have figures.
func notices(stock layouts.Stock, correction layouts.Correction, across, down []int) (all []notice) {
	say := func(weight Weight, format string, values ...any) {
		all = append(all, notice{fmt.Sprintf(format, values...), weight})
	}
	number := layouts.FormatNumber
	width, height := number(stock.Label.Width), number(stock.Label.Height)
	what := fmt.Sprintf("%s, %s\u00a0×\u00a0%s\u00a0mm", stock.Name, width, height)
	if stock.Count() > 1 {
		what = fmt.Sprintf("%s: %d labels of %s\u00a0×\u00a0%s\u00a0mm", stock.Name, stock.Count(), width, height)
	}
	say(Bold, "%s. Print at 100\u00a0%%, never “fit to page”.", what)
	// A printer that prints larger across and smaller down, as an example.
	const larger, smaller = 1.002, 0.999
	times := func(distance int, factor float64) string { return number(float64(distance) * factor) }
	scale := func(across, down float64) string {
		return layouts.Correction{ScaleX: layouts.ScaleFor(1, across), ScaleY: layouts.ScaleFor(1, down)}.FormatScale()
	}
	// Who reads a page sideways would take the wrong rule for the one across.
	ways := [2]string{"across", "down"}
	outlines := "Then hold this page and the label stock up to the light. The outlines should match the edges of the labels. " +
		"If outline\u00a01 is 0.5\u00a0mm too far right and 1\u00a0mm too high, use --shift\u00a0%s."
	if stock.Turn().Sideways() {
		ways = [2]string{"on the short rule", "on the long one"}
		outlines = "The outline should match the edge of the label. " +
			"If it is 0.5\u00a0mm too high on the short rule and 1\u00a0mm too low on the long one, use --shift\u00a0%s."
	}
	const (
		bothRules = "Measure both rules from %d to %d. Divide %d by each result to get --scale: " +
			"for %s\u00a0mm %s and %s\u00a0mm %s, use --scale\u00a0%s."
		longRule = "Measure the long rule from %d to %d. Divide %d by the result to get --scale: for %s\u00a0mm, use --scale\u00a0%s."
	)
	from, to := stretch(across)
	fromDown, toDown := stretch(down)
	length, lengthDown := to-from, toDown-fromDown
	switch {
	case length > 0 && from == fromDown && to == toDown:
		say(Regular, bothRules, from, to, length, times(length, larger), ways[0], times(length, smaller), ways[1], scale(larger, smaller))
	case length > lengthDown:
		say(Regular, longRule, from, to, length, times(length, larger), scale(larger, 1))
	case lengthDown > 0:
		say(Regular, longRule, fromDown, toDown, lengthDown, times(lengthDown, larger), scale(1, larger))
	}
	say(Regular, outlines, layouts.Correction{ShiftX: -0.5, ShiftY: 1}.FormatShift())
	if correction.None() {
		say(Regular, "No correction is in use.")
	} else {
		say(Bold, "In use: --shift\u00a0%s --scale\u00a0%s. Add a new shift to this one; multiply a new scale by this one.", correction.FormatShift(), correction.FormatScale())
	}
	if stock.Count() > 1 {
		say(Regular, "The large numbers are the positions for --start and --skip.")
	}
	return all
}

// fullStretch is the distance to measure in mm, where there is room: long
// enough for three decimals of a scale, and easy to divide by.
const fullStretch = 100

// stretch is from which figure to which one measures: fullStretch, or as far
// as there are figures. Both are 0 where there are no two.
func stretch(figures []int) (from, to int) {
	if len(figures) < 2 {
		return 0, 0
	}
	from, to = figures[0], figures[0]
	for _, figure := range figures {
		if figure-from <= fullStretch {
			to = figure
		}
	}
	return from, to
}

// drawNotices sets the words as large as the room between the numbers allows,
// and returns those for which there is none. Words stay inside labels, so that
// no outline crosses them: they run on from label to label along the rows.
func (r *rulerPage) drawNotices(all []notice, pen [3]string) []string {
	var best *flow
	for size := largestNotice; size >= LeastSize; size -= noticeStep {
		for _, slots := range r.slots() {
			f := &flow{face: r.face, slots: slots, row: len(slots) / len(r.labels) * r.stock.Columns, style: plain(size)}
			for _, n := range all {
				f.add(n)
			}
			f.setPen(pen)
			if best == nil || f.worth() > best.worth() {
				best = f
			}
		}
	}
	for _, t := range best.texts {
		t.draw(r.canvas, t.x, t.y)
		if t.penTo > 0 {
			e := r.face.measure(t.lines[0], t.size, t.weight)
			base := t.y + t.ascent
			r.line(t.x+max(0, -e.left)+e.right+labelEdge, base, t.penTo, base, r.thickness)
		}
	}
	return best.missed
}

// slots are the ways to find room for words in the labels: below the numbers or
// beside them, on a single label also above and below. All ways have equally
// many slots in each label.
func (r *rulerPage) slots() [][]layouts.Rect {
	var beneath, beside, around []layouts.Rect
	for i, label := range r.labels {
		room := r.offRules(grown(label, -labelEdge).Intersect(r.reach))
		number := grown(r.numbers[i], max(labelEdge, 0.2*r.numbers[i].Height)).Inset(-besideNumber, 0, -besideNumber, 0)
		sides := besides(room, number)
		left, right, above, below := sides[0], sides[1], sides[2], sides[3]
		if below.Height > lineForPen*3 { // room enough for narrower lines
			side := max(0, (below.Width-widestNotice)/2)
			below = below.Inset(side, 0, side, 0)
		}
		beneath, beside, around = append(beneath, below), append(beside, left, right), append(around, above, below)
	}
	if len(r.labels) > 1 {
		return [][]layouts.Rect{beneath, beside}
	}
	return [][]layouts.Rect{beneath, beside, around}
}

// flow sets notices into slots, one behind the other.
type flow struct {
	style
	face   *Typeface
	slots  []layouts.Rect
	row    int     // slots of a row of labels
	slot   int     // the one in use
	used   float64 // mm of its height
	texts  []flowText
	breaks int // of notices from one slot to the next
	penned bool
	missed []string
}

// flowText is a text that has found its place, perhaps with a line for the pen
// behind it.
type flowText struct {
	set
	x, y  float64 // upper left corner
	penTo float64 // x where the pen's line ends, 0 without one
}

// worth is how good a flow is to read, in points of size: large words, none of
// them missed, not broken over many labels, and lines for the pen.
func (f *flow) worth() float64 {
	worth := f.size - float64(f.breaks)/2 - 100*float64(len(f.missed))
	if f.penned {
		worth += 3
	}
	return worth
}

// room is what is left of a slot, less a gap behind what stands in it.
func (f *flow) room(slot int) layouts.Rect {
	if slot != f.slot || f.used == 0 {
		return f.slots[slot]
	}
	return f.slots[slot].Inset(0, f.used+f.pitch()/4, 0, 0)
}

// add puts a notice whole into the first slot that holds it, else over as many
// as it takes, from the beginning of a row.
func (f *flow) add(n notice) {
	pieces := unbreakable(n.text)
	filled := map[float64][]string{} // by width: most slots are of one
	for slot := f.slot; slot < len(f.slots); slot++ {
		room := f.room(slot)
		lines, known := filled[room.Width]
		if !known {
			lines = fill(f.face, pieces, n.weight, room.Width/f.size)
			filled[room.Width] = lines
		}
		if len(lines) > 0 && len(lines) <= f.holds(room.Height) {
			f.put(slot, room, lines, n.weight)
			return
		}
	}
	before := *f
	slot := f.slot
	if f.used > 0 {
		slot++
	}
	slot = (slot + f.row - 1) / f.row * f.row
	for ; slot < len(f.slots) && len(pieces) > 0; slot++ {
		room := f.slots[slot]
		lines := fill(f.face, pieces, n.weight, room.Width/f.size)
		lines = lines[:min(len(lines), f.holds(room.Height))]
		if len(lines) > 0 {
			f.put(slot, room, lines, n.weight)
			f.breaks++
			pieces = pieces[len(unbreakable(strings.Join(lines, " "))):]
		}
	}
	if len(pieces) > 0 {
		*f = before
		f.missed = append(f.missed, n.text)
	}
}

func (f *flow) put(slot int, room layouts.Rect, lines []string, w Weight) {
	text := flowText{set: set{f.style, w, lines}, x: room.X, y: room.Y}
	f.texts = append(f.texts, text)
	f.slot, f.used = slot, room.Y-f.slots[slot].Y+text.height()
}

// setPen puts the lines for the pen into the first slot that holds them, else
// each into a slot of its own.
func (f *flow) setPen(words [3]string) {
	for slot := f.slot; slot < len(f.slots); slot++ {
		room := f.room(slot)
		across, down := 1, len(words)
		if room.Width >= widePen*float64(len(words)) {
			across, down = down, across
		}
		if room.Height < float64(down)*lineForPen || room.Width < widePen {
			continue
		}
		for i, word := range words {
			f.putPen(word, room, i%across, across, float64(i/across+1)*lineForPen)
		}
		f.penned = true
		return
	}
	slot := f.slot
	if f.used > 0 {
		slot++
	}
	for _, word := range words {
		for slot < len(f.slots) && (f.holds(f.slots[slot].Height) < 1 || f.slots[slot].Width < widePen) {
			slot++
		}
		if slot >= len(f.slots) {
			f.texts = slices.DeleteFunc(f.texts, func(t flowText) bool { return t.penTo > 0 })
			return
		}
		f.putPen(word, f.slots[slot], 0, 1, min(lineForPen, f.slots[slot].Height))
		slot++
	}
	f.penned = true
}

// putPen puts one line for the pen into a column of a room, with its descent
// above the given depth.
func (f *flow) putPen(word string, room layouts.Rect, column, columns int, depth float64) {
	width := min(room.Width/float64(columns), 2*widePen)
	x := room.X + float64(column)*width
	f.texts = append(f.texts, flowText{
		set: line(word, f.size, Regular), x: x, y: room.Y + depth - f.descent - f.ascent, penTo: x + width - labelEdge,
	})
}
