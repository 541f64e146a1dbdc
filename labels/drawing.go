package labels

import (
	"fmt"
	"strconv"

	"graftslip/layouts"
)

// The layout of the drawing of a label stock, in mm, and sizes of its texts, in points.
const (
	drawingTitle  = 18.0
	drawingText   = 11.0
	dimensionText = 9.0
	drawingLine   = 0.2
	dimensionGap  = 3.0 // between a dimension and what it measures
	columnLeft    = 168.0
)

// drawing is an unfinished drawing of label stock.
type drawing struct {
	canvas
	stock layouts.Stock
}

// DesignDrawing draws a sheet of label stock with its measures and the numbers of its
// positions, and one label, enlarged, with the panels that carry print when it goes round
// the stem. If it does not go round, the drawing says why.
func DesignDrawing(stock layouts.Stock, wrap layouts.Wrap, stem layouts.Stem, face *Typeface) (page layouts.Stock, design Design) {
	page = layouts.Page("drawing", layouts.Size{Width: 297, Height: 210})
	d := drawing{canvas{&design, face, page.Position(0)}, stock}
	d.text(stock.Name, drawingTitle, Bold, 15, 18)
	d.sheet(layouts.Rect{X: 27, Y: 38, Width: 125, Height: 158})
	below := d.words(30, d.measures())
	room := layouts.Rect{X: columnLeft + 12, Y: below + 21, Width: 105, Height: 60}
	if stock.Medium == layouts.Card {
		d.label(room, []layouts.Panel{{Placed: layouts.Placed{Rect: stock.Safe()}}}, nil, []string{"print"})
		return page, design
	}
	heading := fmt.Sprintf("A label as a %s, stem %s, clearance %s:", wrap, layouts.FormatLength(stem.Diameter), layouts.FormatLength(stem.Clearance))
	if wrap == layouts.LiesFlat {
		heading = "A label lying flat:"
	}
	d.words(below+11, []string{heading})
	wrapped, err := stock.Wrap(wrap, stem)
	end := d.label(room, wrapped.Panels, wrapped.Creases, panelWords(wrap))
	if err != nil {
		reason := breakInto(face, unbreakable(err.Error()), Regular, 3)
		d.words(end+8, reason)
	}
	return page, design
}

// panelWords names what each panel of a label carries.
func panelWords(wrap layouts.Wrap) []string {
	if wrap == layouts.Flag {
		return []string{"names", "code"}
	}
	return []string{"names and code"}
}

// measures lists what describes the stock.
func (d drawing) measures() []string {
	s, mm := d.stock, layouts.FormatNumber
	both := func(width, height float64) string { return mm(width) + " × " + mm(height) + " mm" }
	last := s.Position(s.Count() - 1)
	edges := fmt.Sprintf("Print stays %s mm inside each label.", mm(layouts.Edge))
	if !s.EdgesInReach() {
		edges = fmt.Sprintf("Print stays %s mm inside each label and %s mm inside the paper.", mm(layouts.Edge), mm(layouts.Unprintable))
	}
	return []string{
		fmt.Sprintf("Medium: %s, paper %s", s.Medium, both(s.Paper.Width, s.Paper.Height)),
		fmt.Sprintf("Labels: %d × %d = %d, each %s", s.Columns, s.Rows, s.Count(), both(s.Label.Width, s.Label.Height)),
		"Pitch: " + both(s.PitchX, s.PitchY),
		fmt.Sprintf("Margins: left %s, top %s,", mm(s.Left), mm(s.Top)),
		fmt.Sprintf("right %s, bottom %s mm", mm(s.Paper.Width-last.X-last.Width), mm(s.Paper.Height-last.Y-last.Height)),
		edges,
	}
}

// words writes lines into the right column and returns where they end.
func (d drawing) words(y float64, lines []string) float64 {
	const pitch = 6.5
	for _, line := range lines {
		d.text(line, drawingText, Regular, columnLeft, y)
		y += pitch
	}
	return y - pitch
}

// scaled fits a size into a room, as large as possible, and returns where it lies and its
// scale.
func scaled(size layouts.Size, room layouts.Rect, most float64) (layouts.Rect, float64) {
	factor := min(most, room.Width/size.Width, room.Height/size.Height)
	return layouts.Rect{X: room.X, Y: room.Y, Width: size.Width * factor, Height: size.Height * factor}, factor
}

// sheet draws the sheet and numbers its positions.
func (d drawing) sheet(room layouts.Rect) {
	s := d.stock
	paper, factor := scaled(s.Paper, room, 3)
	d.rectangle(paper, drawingLine)
	d.dimensions(paper, s.Paper)
	number := d.face.measure(strconv.Itoa(s.Count()), 1, Regular)
	size := min(14, 0.8*s.Label.Width*factor/number.width(), 0.55*s.Label.Height*factor/number.top)
	for i := range s.Count() {
		label := enlarged(s.Position(i).Rect, factor, paper)
		d.rectangle(label, drawingLine/2)
		d.inMiddle(strconv.Itoa(i+1), size, label)
	}
}

// label draws a label as its reader sees it and returns where the drawing ends.
func (d drawing) label(room layouts.Rect, panels []layouts.Panel, creases []float64, words []string) float64 {
	face := d.stock.Face()
	outline, factor := scaled(face, room, 5)
	d.rectangle(outline, drawingLine)
	d.dimensions(outline, face)
	end := outline.Y + outline.Height
	for i, panel := range panels {
		area := enlarged(panel.Rect, factor, outline)
		d.rectangle(area, drawingLine/2)
		placed := layouts.Placed{Rect: area, Turn: panel.Turn}
		turned := d
		turned.place = placed
		size := min(drawingText, drawingText*0.9*placed.Inner().Width/d.face.measure(words[i], drawingText, Regular).width())
		turned.inMiddle(words[i], size, placed.Inner().Rect())
	}
	if len(creases) == 0 {
		return end
	}
	from := 0.0
	for _, to := range append(creases, face.Width) {
		d.dimension(outline.X+from*factor, outline.X+to*factor, end+dimensionGap+3, layouts.FormatTenth(to-from))
		from = to
	}
	for _, crease := range creases {
		x := outline.X + crease*factor
		for y := outline.Y; y < end; y += 2 {
			d.line(x, y, x, min(end, y+1), drawingLine/2)
		}
	}
	return end + dimensionGap + 3
}

// enlarged maps an area of the label to the drawing.
func enlarged(r layouts.Rect, factor float64, in layouts.Rect) layouts.Rect {
	return layouts.Rect{X: in.X + r.X*factor, Y: in.Y + r.Y*factor, Width: r.Width * factor, Height: r.Height * factor}
}

// dimensions draws the width above a rectangle and the height at its left.
func (d drawing) dimensions(r layouts.Rect, size layouts.Size) {
	d.dimension(r.X, r.X+r.Width, r.Y-dimensionGap, layouts.FormatNumber(size.Width))
	left := d
	left.place = layouts.Placed{Rect: layouts.Rect{X: 0, Y: r.Y, Width: r.X, Height: r.Height}, Turn: layouts.CounterClockwise}
	left.dimension(0, r.Height, r.X-dimensionGap, layouts.FormatNumber(size.Height))
}

// dimension draws a line between two marks and a length in mm above its middle.
func (d drawing) dimension(from, to, y float64, length string) {
	const mark, above = 1.0, 0.8
	d.line(from, y, to, y, drawingLine/2)
	d.line(from, y-mark, from, y+mark, drawingLine/2)
	d.line(to, y-mark, to, y+mark, drawingLine/2)
	d.text(length, dimensionText, Regular, (from+to-d.face.measure(length, dimensionText, Regular).width())/2, y-above)
}

// inMiddle sets a line in the middle of an area.
func (d drawing) inMiddle(line string, size float64, r layouts.Rect) {
	e := d.face.measure(line, size, Regular)
	d.text(line, size, Regular, r.X+(r.Width-e.width())/2, r.Y+(r.Height+e.top)/2)
}
