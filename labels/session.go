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
	Paper   layouts.Paper
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
	s := &sessionSheet{SessionOptions: o, session: session, words: o.Words.Session, stock: SessionStock(o.Paper)}
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

// SessionStock is a sheet of paper on which sessions are printed.
func SessionStock(p layouts.Paper) layouts.Stock {
	return layouts.Page("session-"+p.String(), p.Size())
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

// setText is inFewLines for a text that must stand: a word that is too wide even
// at the smallest size is an error, told of its cell. Nothing is ever cut.
func (s *sessionSheet) setText(where Where, text string, weight Weight, width, most float64, few int) set {
	t, fits := inFewLines(s.Face, text, weight, width, most, few)
	if !fits {
		where.Column = cmp.Or(where.Column, labelColumn)
		s.errs = append(s.errs, noRoom(where, strings.ReplaceAll(text, "\u00a0", " "), s.stock.Name,
			layouts.Size{Width: width, Height: s.area.Height}, len(unbreakable(text))))
	}
	return t
}
