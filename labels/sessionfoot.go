package labels

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"graftslip/layouts"
)

// footText is the size of the words below the table, in points.
const footText = 10.25

// Measures of what stands below the table, in mm.
const (
	footGap    = 6.0  // between the halves
	noteLine   = 8.0  // from one line for the pen to the next
	leastNotes = 20.0 // that are left for notes
)

// footItem is what stands below the table: what to make ready beside what to
// take care of.
func (s *sessionSheet) footItem() item {
	const readyShare = 0.41 // of the width
	width := readyShare * (s.area.Width - footGap)
	left := s.half(s.words.Ready, s.ready(), s.words.Pen[:], width)
	right := s.half(s.words.Care, s.words.Cautions[:], nil, s.area.Width-footGap-width)
	return item{height: thickRule + rowGap + max(left.height, right.height), with: leastNotes, draw: func(c canvas, y float64) {
		c.line(s.area.X, y, s.area.X+s.area.Width, y, thickRule)
		left.draw(c, s.area.X, y+rowGap)
		right.draw(c, s.area.X+width+footGap, y+rowGap)
	}}
}

// half is one half of the foot.
type half struct {
	height float64
	draw   func(c canvas, x, y float64)
}

// half sets a head, and below it lines each with a box, the last of them with
// room for the pen.
func (s *sessionSheet) half(head string, lines, pen []string, width float64) half {
	const indent, few = tick + 2.5, 2
	title := s.setText(Where{}, head, Bold, width, stockText, 1)
	var texts []set
	height := title.height() + rowGap
	step := func(t set) float64 { return max(t.height(), tick) + 1.4 }
	for _, line := range slices.Concat(lines, pen) {
		text := s.setText(Where{}, line, Regular, width-indent, footText, few)
		texts = append(texts, text)
		height += step(text)
	}
	return half{height, func(c canvas, x, y float64) {
		y = title.draw(c, x, y) + rowGap
		for i, text := range texts {
			box(c, x, y-0.5)
			text.draw(c, x+indent, y)
			if i >= len(lines) {
				from := x + indent + c.face.measure(text.lines[0], text.size, text.weight).width() + 2
				c.line(from, y+tick-0.5, x+width, y+tick-0.5, thinRule)
			}
			y += step(text)
		}
	}}
}

// ready lists labels, cards and trays.
func (s *sessionSheet) ready() []string {
	labels, spares, trays := 0, 0, 0
	sizes := map[int]int{} // trays by the grafts in them
	unsaid := false
	for _, b := range s.session.Batches {
		labels += b.Grafts + b.Spares
		spares += b.Spares
		trays += b.Trays()
		unsaid = unsaid || b.TraySize == 0
		sizes[b.TraySize] += b.Trays()
	}
	said := fmt.Sprintf(s.words.TraysOnly, trays)
	if !unsaid {
		var kinds []string
		for _, size := range slices.SortedFunc(maps.Keys(sizes), func(a, b int) int { return cmp.Compare(b, a) }) {
			kinds = append(kinds, fmt.Sprintf("%d\u00a0×\u00a0%d", sizes[size], size))
		}
		said = fmt.Sprintf(s.words.Trays, trays, strings.Join(kinds, ", "))
	}
	return []string{
		fmt.Sprintf(s.words.Labels, labels, spares, s.load(s.Stems, labels)),
		fmt.Sprintf(s.words.Cards, trays, s.load(s.Trays, trays)),
		said,
	}
}

// load says what to put in the printer for so many labels.
func (s *sessionSheet) load(stock layouts.Stock, count int) string {
	if stock.Medium == layouts.Roll {
		return fmt.Sprintf(s.words.LoadRoll, count, stock.Name)
	}
	return fmt.Sprintf(s.words.Load, stock.Sheets(count), stock.Name)
}

// notes rules what is left of a page for the pen.
func (s *sessionSheet) notes(c canvas, y float64) {
	c.line(s.area.X, y, s.area.X+s.area.Width, y, thickRule)
	line(s.words.Notes, stockText, Bold).draw(c, s.area.X, y+rowGap)
	bottom := s.area.Y + s.area.Height
	for at := y + 2*noteLine; at <= bottom; at += noteLine {
		c.line(s.area.X, at, s.area.X+s.area.Width, at, thinRule)
	}
}
