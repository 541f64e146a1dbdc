package labels

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	"graftslip/layouts"
	"graftslip/records"
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

// SessionOptions say how the sheet of a session is made.
type SessionOptions struct {
	Face    *Typeface
	Words   Words
	Paper   Paper
	Nursery string           // may be empty
	Dates   records.DateForm // how dates are written
	// Stems and Trays are the label stock to load for stem labels and cards.
	Stems, Trays layouts.Stock
}

// CompareWork puts batches in the order of work: by day, then by stock, so that
// wood of one kind is cut, sorted by thickness and used up before the next, then
// by variety, so that no two mother plants are mixed up on the bench. Common
// practice, no source. Names are compared without regard to letter case.
func CompareWork(a, b records.Draft) int {
	fold := func(x, y string) int { return cmp.Compare(records.Key(x), records.Key(y)) }
	return cmp.Or(a.Date.Compare(b.Date), fold(a.Stock, b.Stock), fold(a.Variety, b.Variety), fold(a.Source, b.Source), cmp.Compare(a.Row, b.Row))
}

// DesignSession lays out the sheet to work from on a day of grafting, a slip for
// each page: the batches in the order of work, what to make ready, what to take
// care of, and room for notes. Errors, several at once, are *Error.
func DesignSession(session Session, o SessionOptions) ([]Design, error) {
	s := &sessionSheet{SessionOptions: o, session: session, words: o.Words.Session, stock: o.Paper.Stock("session")}
	s.session.Batches = slices.Clone(session.Batches)
	slices.SortStableFunc(s.session.Batches, func(a, b SessionBatch) int { return CompareWork(a.Draft, b.Draft) })
	s.errs = checkText(o.Face, 0, cell{nurseryColumn, o.Nursery})
	for _, b := range session.Batches {
		s.errs = append(s.errs, checkNames(o.Face, b.Draft, cell{"source", b.Source}, cell{"grafter", b.Grafter}, cell{"note", b.Note})...)
	}
	size := o.Paper.Size()
	s.area = layouts.Rect{Width: size.Width, Height: size.Height}.Inset(sideMargin, sheetMargin, sideMargin, sheetMargin)
	s.ruleColumns()
	pages := s.pages()
	if len(s.errs) > 0 {
		return nil, errors.Join(s.errs...)
	}
	return pages, nil
}

// sessionSheet is the sheet of a session in the making.
type sessionSheet struct {
	SessionOptions
	session Session
	words   SessionWords
	stock   layouts.Stock
	area    layouts.Rect // of a page that carries print
	columns [7]column    // of the table
	heads   float64      // size of their heads, points
	ties    [2]set       // beside their boxes
	errs    []error
}

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

// set is a text broken into lines.
type set struct {
	lines  []string
	size   float64 // points
	weight Weight
}

// lineHeight is from one baseline to the next, in mm.
func (t set) lineHeight() float64 {
	return (leastAscent + leastDescent + leading) * t.size * millimetresPerPoint
}

// height is that of all lines with the room between them.
func (t set) height() float64 {
	return float64(len(t.lines))*t.lineHeight() - leading*t.size*millimetresPerPoint
}

// draw sets the lines with the first one's capitals at y, and returns where the
// last one's tails end.
func (t set) draw(c canvas, x, y float64) float64 {
	for i, line := range t.lines {
		c.text(line, t.size, t.weight, x, y+leastAscent*t.size*millimetresPerPoint+float64(i)*t.lineHeight())
	}
	return y + t.height()
}

// setText is tryText for a text that must stand: a word that is too wide even at
// the smallest size is an error, told of its cell. Nothing is ever cut.
func (s *sessionSheet) setText(where Where, text string, weight Weight, width, most float64, few int) set {
	t, fits := s.tryText(text, weight, width, most, few)
	if !fits {
		where.Column = cmp.Or(where.Column, labelColumn)
		s.errs = append(s.errs, noRoom(where, strings.ReplaceAll(text, "\u00a0", " "), s.stock.Name,
			layouts.Size{Width: width, Height: s.area.Height}, len(unbreakable(text))))
	}
	return t
}

// tryText breaks a text into lines no wider than a width, as large as it may be
// and yet in few lines; at the smallest size in as many as it takes.
func (s *sessionSheet) tryText(text string, weight Weight, width, most float64, few int) (set, bool) {
	pieces := unbreakable(text)
	const step = 0.5
	for size := most; size >= LeastSize; size -= step {
		if lines := fill(s.Face, pieces, weight, width/size); len(lines) > 0 && (len(lines) <= few || size-step < LeastSize) {
			return set{lines, size, weight}, true
		}
	}
	return set{[]string{""}, most, weight}, false
}
