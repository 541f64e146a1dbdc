package labels

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"graftslip/layouts"
	"graftslip/records"
)

// The columns of the table.
const (
	varietyColumn = iota
	scionsColumn
	graftsColumn
	stemColumn
	traysColumn
	tieColumn
	madeColumn
)

func tableHeads() [7]string {
	return [7]string{"Variety", "Scions", "Grafts", "Stem", "Trays", "Tie", "Made"}
}

// column is a column of the table by its left edge and its width, in mm.
type column struct{ x, width float64 }

// ruleColumns gives the variety what the figures leave, and sets the heads as
// large as the narrowest column allows.
func (s *sessionSheet) ruleColumns() {
	widths := [len(s.columns)]float64{scionsColumn: 14, graftsColumn: 14, stemColumn: 20, traysColumn: 21, tieColumn: 19, madeColumn: 16}
	right := s.area.X + s.area.Width
	for i := len(widths) - 1; i > varietyColumn; i-- {
		right -= widths[i]
		s.columns[i] = column{right, widths[i] - columnGap}
	}
	x := s.area.X + nameIndent
	s.columns[varietyColumn] = column{x, right - x - columnGap}
	s.heads = smallText
	for i, head := range tableHeads() {
		s.heads = min(s.heads, s.setText(Where{}, head, Regular, s.columns[i].width, smallText, 1).size)
	}
	for i, tie := range [2]string{"tape", "rubber"} {
		s.ties[i] = s.setText(Where{}, tie, Regular, s.columns[tieColumn].width-tick-1, smallText, 1)
	}
}

// headItem are the heads of the columns.
func (s *sessionSheet) headItem() item {
	head := line("", s.heads, Regular)
	return item{height: head.height() + rowGap/2, draw: func(c canvas, y float64) {
		for i, word := range tableHeads() {
			line(word, s.heads, Regular).draw(c, s.columns[i].x, y)
		}
	}}
}

// group is the heading of the batches on one stock.
type group struct{ whole, continued item }

// groups are the batches on one stock each.
func (s *sessionSheet) groups() [][]SessionBatch {
	var groups [][]SessionBatch
	for i, b := range s.session.Batches {
		if i == 0 || records.Key(b.Stock) != records.Key(s.session.Batches[i-1].Stock) {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], b)
	}
	return groups
}

// tableItems are the headings and rows of the table.
func (s *sessionSheet) tableItems() []item {
	var items []item
	number := 0
	for _, batches := range s.groups() {
		heading := &group{s.heading(batches, "On %s", true), s.heading(batches, "On %s, continued", false)}
		for i, b := range batches {
			number++
			row := s.row(b, number)
			if i == 0 {
				first := heading.whole
				first.with = row.height
				items = append(items, first)
			}
			row.heading = heading
			items = append(items, row)
		}
	}
	return items
}

// heading names the stock of a group, and beside it the cuttings to take.
func (s *sessionSheet) heading(batches []SessionBatch, format string, cuttings bool) item {
	const nameShare = 0.46 // of the width
	name := s.area.Width
	var take set
	if cuttings {
		name *= nameShare
		take = s.setText(Where{}, s.cuttings(batches), Regular, s.area.Width-name-tick-columnGap, figureText-1, 2)
	}
	stock := s.setText(Where{batches[0].Row, "stock"}, fmt.Sprintf(format, records.Quoted(batches[0].Stock)), Bold, name-columnGap, stockText, 2)
	return item{table: true, height: thickRule + rowGap + max(stock.height(), take.height(), tick) + rowGap, draw: func(c canvas, y float64) {
		c.line(s.area.X, y, s.area.X+s.area.Width, y, thickRule)
		y += thickRule + rowGap
		stock.draw(c, s.area.X, y)
		if cuttings {
			box(c, s.area.X+name, y-0.4)
			take.draw(c, s.area.X+name+tick+columnGap, y+0.1)
		}
	}}
}

// cuttings is how many of the stock to take, and how thick: where only some batches give
// that, with the number of cuttings it holds for.
func (s *sessionSheet) cuttings(batches []SessionBatch) string {
	cut, spare, thick := 0, 0, 0
	var stems []float64
	for _, b := range batches {
		cut += b.Grafts + b.Wood
		spare += b.Wood
		if b.Stem > 0 {
			thick += b.Grafts + b.Wood
			stems = append(stems, b.Stem)
		}
	}
	text := fmt.Sprintf("Stock cuttings to take: %d (spare: %d)", cut, spare)
	if len(stems) == 0 {
		return text
	}
	diameter := diameterText(slices.Min(stems))
	if most := diameterText(slices.Max(stems)); most != diameter {
		diameter = diameter + " to " + most
	}
	if len(stems) < len(batches) {
		return fmt.Sprintf("%s; %d\u00a0of %s, %d\u00a0not\u00a0given", text, thick, diameter, cut-thick)
	}
	return fmt.Sprintf("%s, %s thick", text, diameter)
}

// row is one batch: a box to tick, its name and figures, and below the name where
// its scions come from.
func (s *sessionSheet) row(b SessionBatch, number int) item {
	variety := s.setText(Where{b.Row, "variety"}, records.Quoted(b.Variety), Bold, s.columns[varietyColumn].width, nameText, 2)
	figures := s.figures(b)
	ties := 2*tick + 1
	top := max(variety.height(), line("", figureText, Bold).height())
	details, beside := s.details(b)
	below := top + rowGap/2 // where the details begin
	if !beside {
		below = max(top, ties, figures[traysColumn].height()) + rowGap/2
	}
	height := max(top, ties, figures[traysColumn].height())
	if len(details.lines) > 0 {
		height = max(height, below+details.height())
	}
	return item{table: true, height: rowGap + height + rowGap, draw: func(c canvas, y float64) {
		c.line(s.area.X, y, s.area.X+s.area.Width, y, thinRule)
		y += rowGap
		box(c, s.area.X, y-0.4)
		line(strconv.Itoa(number), smallText, Regular).draw(c, s.area.X+tick+1.5, y+0.3)
		variety.draw(c, s.columns[varietyColumn].x, y)
		for i, figure := range figures {
			figure.draw(c, s.columns[i].x, y)
		}
		for i, tie := range s.ties {
			at := y - 0.4 + float64(i)*(tick+1)
			box(c, s.columns[tieColumn].x, at)
			tie.draw(c, s.columns[tieColumn].x+tick+1, at+0.7)
		}
		made := s.columns[madeColumn]
		c.rectangle(layouts.Rect{X: made.x, Y: y - 0.4, Width: made.width + columnGap - thickRule, Height: ties}, 2*thinRule)
		details.draw(c, s.columns[varietyColumn].x, y+below)
	}}
}

// figures are the numbers of a row by their column.
func (s *sessionSheet) figures(b SessionBatch) [7]set {
	var figures [7]set
	for i, text := range [7]string{scionsColumn: strconv.Itoa(b.Grafts + b.Wood), graftsColumn: strconv.Itoa(b.Grafts), stemColumn: diameterText(b.Stem)} {
		if text != "" {
			figures[i] = s.setText(Where{Row: b.Row}, text, Bold, s.columns[i].width, figureText, 1)
		}
	}
	trays := set{plain(figureText - 1), Regular, traysText(b.Draft)}
	for _, line := range trays.lines { // the widest holds for all
		trays.style = s.setText(Where{Row: b.Row}, line, Regular, s.columns[traysColumn].width, trays.size, 1).style
	}
	figures[traysColumn] = trays
	return figures
}

// details are where scions come from, the grafter, how the label goes round and the
// note, as far as the batch has them: beside the trays where no word is too wide for
// that, else over the whole width.
func (s *sessionSheet) details(b SessionBatch) (text set, beside bool) {
	var parts []string
	add := func(format, value string) {
		if value != "" {
			parts = append(parts, fmt.Sprintf(format, value))
		}
	}
	add("Scions from:\u00a0%s", b.Source)
	add("By:\u00a0%s", b.Grafter)
	if b.Wrap != 0 {
		add("Label:\u00a0%s", b.Wrap.String())
	}
	add("%s", b.Note)
	if len(parts) == 0 {
		return set{}, true
	}
	const few = 2
	joined, x := strings.Join(parts, "\u00a0· "), s.columns[varietyColumn].x
	if text, fits := inFewLines(s.Face, joined, Regular, s.columns[traysColumn].x-columnGap-x, smallText, few); fits && len(text.lines) <= few {
		return text, true
	}
	return s.setText(Where{b.Row, "note"}, joined, Regular, s.area.X+s.area.Width-x, smallText, few), false
}

// diameterText writes a diameter that stays in one line, and nothing for an unknown one,
// which is filled in by hand.
func diameterText(diameter float64) string {
	if diameter == 0 {
		return ""
	}
	return strings.ReplaceAll(layouts.FormatLength(diameter), " ", "\u00a0")
}

// traysText lists the trays of a batch: those that are full, and the last.
func traysText(d records.Draft) []string {
	full, rest := d.Trays(), 0
	if d.TraySize > 0 {
		full, rest = d.Grafts/d.TraySize, d.Grafts%d.TraySize
	}
	var lines []string
	switch {
	case d.TraySize == 0:
		return []string{"1"}
	case full > 0:
		lines = append(lines, fmt.Sprintf("%d\u00a0×\u00a0%d", full, d.TraySize))
	}
	if rest > 0 {
		lines = append(lines, fmt.Sprintf("1\u00a0×\u00a0%d", rest))
	}
	return lines
}
