package labels

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"graftslip/layouts"
	"graftslip/records"
)

// Sizes of text on the sheet of a session, in points: to be read from the bench.
const (
	dayText    = 20.0
	stockText  = 13.0
	nameText   = 12.0
	figureText = 12.0
	footText   = 10.25 // below the table
	smallText  = 9.0
)

// Measures of the sheet, in mm.
const (
	sideMargin  = 12.0
	sheetMargin = 11.0
	tick        = 4.0 // a box to tick
	rowGap      = 2.2 // above and below the text of a row
	columnGap   = 2.0
	thinRule    = 0.15
	thickRule   = 0.5
	nameIndent  = tick + 8 // behind the box and the number
	footGap     = 6.0      // between the halves below the table
	noteLine    = 8.0      // from one line for the pen to the next
	leastNotes  = 20.0     // that are left for notes
)

// Session is what is grafted on one day.
type Session struct {
	Date    time.Time
	Batches []SessionBatch
}

// SessionBatch is a batch before it has a code, with what is cut and printed for
// it.
type SessionBatch struct {
	records.Draft
	// Wood is how many scions, and as many stock cuttings, are cut beyond the
	// grafts; Spares is how many labels are printed beyond them.
	Wood, Spares int
}

// SessionOptions set how the sheet of a session is made.
type SessionOptions struct {
	Options // those of the stem labels
	Paper   layouts.Paper
	Trays   layouts.Stock // the label stock to load for cards
}

// CompareWork puts batches in the order of work: by day, then by stock, so that
// wood of one kind is cut, sorted by thickness and used up before the next, then
// by variety, so that no two mother plants are mixed up on the bench. Common
// practice, no source. Names are compared without regard to letter case.
func CompareWork(a, b records.Draft) int {
	fold := func(x, y string) int { return cmp.Compare(records.Key(x), records.Key(y)) }
	return cmp.Or(a.Date.Compare(b.Date), fold(a.Stock, b.Stock), fold(a.Variety, b.Variety), fold(a.Source, b.Source), cmp.Compare(a.Row, b.Row))
}

// DesignSession lays out the sheet to work from on a day of grafting, a design for
// each page: the batches in the order of work, what to make ready, what to take
// care of, and room for notes. Errors, several at once, are *Error.
func DesignSession(session Session, o SessionOptions) ([]Design, error) {
	s := &sessionSheet{SessionOptions: o, session: session, stock: SessionStock(o.Paper)}
	s.session.Batches = slices.Clone(session.Batches)
	slices.SortStableFunc(s.session.Batches, func(a, b SessionBatch) int { return CompareWork(a.Draft, b.Draft) })
	s.errs = checkText(o.Face, 0, cell{nurseryColumn, o.Nursery})
	for _, b := range session.Batches {
		s.errs = append(s.errs, checkText(o.Face, b.Row, cells(b.Draft)...)...)
	}
	s.area = s.stock.Paper.Rect().Inset(sideMargin, sheetMargin, sideMargin, sheetMargin)
	s.ruleColumns()
	pages := s.pages()
	if len(s.errs) > 0 {
		return nil, errors.Join(s.errs...)
	}
	return pages, nil
}

// SessionStock is a sheet of paper on which sessions are printed.
func SessionStock(p layouts.Paper) layouts.Stock {
	return layouts.Page("session-"+p.String(), p.Size())
}

// sessionSheet is the sheet of a session in the making.
type sessionSheet struct {
	SessionOptions
	session Session
	stock   layouts.Stock
	area    layouts.Rect // of a page that carries print
	columns [7]column    // of the table
	heads   float64      // size of their heads, points
	ties    [2]set       // beside their boxes
	errs    []error
}

// setText is inFewLines for a text that must stand: a word that is too wide even
// at the smallest size is an error that names its cell. Nothing is ever cut.
func (s *sessionSheet) setText(where Where, text string, weight Weight, width, most float64, few int) set {
	t, fits := inFewLines(s.Face, text, weight, width, most, few)
	if !fits {
		where.Column = cmp.Or(where.Column, labelColumn)
		s.errs = append(s.errs, noRoom(where, strings.ReplaceAll(text, "\u00a0", " "), s.stock.Name,
			layouts.Size{Width: width, Height: s.area.Height}, len(unbreakable(text))))
	}
	return t
}

// item is something that stands on a page as a whole.
type item struct {
	height float64
	draw   func(c canvas, y float64)
	// with is how much of what follows must stand on the same page, in mm.
	with  float64
	table bool // it stands below the heads of the columns
	// heading is the stock on which a row's batch is grafted; nil for what is no
	// row.
	heading *group
}

// placedItem is an item with its page, counted from 0, and where it begins there.
type placedItem struct {
	item
	page int
	y    float64
}

// pages puts everything on pages.
func (s *sessionSheet) pages() []Design {
	items, header := append(s.tableItems(), s.footItem()), s.header(0)
	if len(s.errs) > 0 {
		return nil
	}
	placed, last, end := s.place(header, items)
	designs := make([]Design, last+1)
	on := func(page int) canvas {
		return canvas{&designs[page], s.Face, layouts.Placed{Rect: s.stock.Paper.Rect()}}
	}
	for n := range designs {
		s.number(on(n), n+1, len(designs))
	}
	for _, p := range placed {
		p.draw(on(p.page), p.y)
	}
	s.notes(on(last), end+rowGap)
	return designs
}

// place puts items one below the other, and returns the last page and where what
// stands there ends. A row that begins a page has the heading of its stock above it.
func (s *sessionSheet) place(header item, items []item) (placed []placedItem, last int, end float64) {
	end = s.area.Y
	put := func(it item) {
		placed = append(placed, placedItem{it, last, end})
		end += it.height
	}
	put(header)
	put(s.headItem())
	for i, it := range items {
		if i > 0 && end+it.height+it.with > s.area.Y+s.area.Height {
			last, end = last+1, s.area.Y
			put(s.header(last))
			if it.table {
				put(s.headItem())
			}
			if it.heading != nil {
				put(it.heading.continued)
			}
		}
		put(it)
	}
	return placed, last, end
}

// header stands above all else: on the first page with sums and the order of
// work.
func (s *sessionSheet) header(page int) item {
	const numberRoom = 25.0 // right of the first line
	day := fmt.Sprintf("%v %s", s.session.Date.Weekday(), s.Dates.Format(s.session.Date))
	var texts []set
	if s.Nursery != "" {
		texts = append(texts, s.setText(Where{Column: nurseryColumn}, s.Nursery, Regular, s.area.Width-numberRoom, stockText-1, 2))
	}
	size := dayText
	if page > 0 {
		size = stockText
	}
	texts = append(texts, s.setText(Where{}, day, Bold, s.area.Width-numberRoom, size, 1))
	if page == 0 {
		grafts, trays := 0, 0
		for _, b := range s.session.Batches {
			grafts += b.Grafts
			trays += b.Trays()
		}
		texts = append(texts,
			s.setText(Where{}, fmt.Sprintf("Batches:\u00a0%d\u00a0\u00a0 Grafts:\u00a0%d\u00a0\u00a0 Trays:\u00a0%d", len(s.session.Batches), grafts, trays),
				Bold, s.area.Width, stockText, 1),
			s.setText(Where{}, "Work by rootstock, so that one kind of wood is used up before you cut the next; "+
				"then by variety, so that wood of only one mother plant lies on the bench. The labels come in this order.", Regular, s.area.Width, smallText, 3))
	}
	height := 0.0
	for _, text := range texts {
		height += text.height() + rowGap
	}
	return item{height: height, draw: func(c canvas, y float64) {
		for _, text := range texts {
			y = text.draw(c, s.area.X, y) + rowGap
		}
	}}
}

// number stands at the right of the first line.
func (s *sessionSheet) number(c canvas, page, pages int) {
	text := fmt.Sprintf("Page %d of %d", page, pages)
	width := c.face.measure(text, smallText, Regular).width()
	line(text, smallText, Regular).draw(c, s.area.X+s.area.Width-width, s.area.Y)
}

// footItem is what stands below the table: what to make ready, beside it the method and
// the cautions.
func (s *sessionSheet) footItem() item {
	const readyShare = 0.41 // of the width
	rules := []string{
		"Clean the blades between one mother plant and the next.",
		"Keep scions wrapped, wet and cool; never let them dry.",
		"Choose rootstock as thick as the scion or slightly thicker.",
	}
	care := []string{KnifeCaution, "Rooting compound: " + CompoundCaution, GirdlingCaution, MainsCaution, ProtectedCaution, LeavingCaution}
	width := readyShare * (s.area.Width - footGap)
	x, rest := s.area.X+width+footGap, s.area.Width-footGap-width
	left := s.list("Get ready", s.ready(), []string{"Medium:", "Tape, rubber:", "Rooting compound:"}, true, s.area.X, width)
	right := []item{s.list("Method", rules, nil, true, x, rest), s.list("Take care", care, nil, false, x, rest)}
	height := max(left.height, right[0].height+rowGap+right[1].height)
	return item{height: thickRule + rowGap + height, with: leastNotes, draw: func(c canvas, y float64) {
		c.line(s.area.X, y, s.area.X+s.area.Width, y, thickRule)
		left.draw(c, y+rowGap)
		right[0].draw(c, y+rowGap)
		right[1].draw(c, y+2*rowGap+right[0].height)
	}}
}

// list sets a head, and below it lines, each with a box to tick if there are boxes, and
// then lines with room for the pen.
func (s *sessionSheet) list(head string, lines, pen []string, boxes bool, x, width float64) item {
	const few = 2
	indent, least := 0.0, 0.0
	if boxes {
		indent, least = tick+2.5, tick
	}
	title := s.setText(Where{}, head, Bold, width, stockText, 1)
	var texts []set
	height := title.height() + rowGap
	step := func(t set) float64 { return max(t.height(), least) + 1.4 }
	for _, line := range slices.Concat(lines, pen) {
		text := s.setText(Where{}, line, Regular, width-indent, footText, few)
		texts = append(texts, text)
		height += step(text)
	}
	return item{height: height, draw: func(c canvas, y float64) {
		y = title.draw(c, x, y) + rowGap
		for i, text := range texts {
			if boxes {
				box(c, x, y-0.5)
			}
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
	unknown := false
	for _, b := range s.session.Batches {
		labels += b.Grafts + b.Spares
		spares += b.Spares
		trays += b.Trays()
		unknown = unknown || b.TraySize == 0
		sizes[b.TraySize] += b.Trays()
	}
	text := fmt.Sprintf("Trays: %d", trays)
	if !unknown {
		var kinds []string
		for _, size := range slices.SortedFunc(maps.Keys(sizes), func(a, b int) int { return cmp.Compare(b, a) }) {
			kinds = append(kinds, fmt.Sprintf("%d\u00a0×\u00a0%d", sizes[size], size))
		}
		text += " (" + strings.Join(kinds, ", ") + ")"
	}
	return []string{
		fmt.Sprintf("Stem labels: %d (spare: %d); %s", labels, spares, s.load(s.Stock, labels)),
		fmt.Sprintf("Tray cards: %d; %s", trays, s.load(s.Trays, trays)),
		text,
	}
}

// load is what to put in the printer for so many labels.
func (s *sessionSheet) load(stock layouts.Stock, count int) string {
	if stock.Medium == layouts.Roll {
		return fmt.Sprintf("from the roll %s: %d", stock.Name, count)
	}
	return fmt.Sprintf("sheets of %s: %d", stock.Name, stock.Sheets(count))
}

// notes rules what is left of a page for the pen.
func (s *sessionSheet) notes(c canvas, y float64) {
	c.line(s.area.X, y, s.area.X+s.area.Width, y, thickRule)
	line("Notes", stockText, Bold).draw(c, s.area.X, y+rowGap)
	bottom := s.area.Y + s.area.Height
	for at := y + 2*noteLine; at <= bottom; at += noteLine {
		c.line(s.area.X, at, s.area.X+s.area.Width, at, thinRule)
	}
}

// box draws a box to tick with its upper left corner at a point.
func box(c canvas, x, y float64) {
	c.rectangle(layouts.Rect{X: x, Y: y, Width: tick, Height: tick}, 2*thinRule)
}
