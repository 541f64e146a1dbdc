// Package manifest reads a spreadsheet of grafts, saved as .xlsx or CSV, into drafts of
// batches, and likewise one of orders, see ReadOrders; Write writes one.
//
// Package sheet reads the file into rows. The header is the first of the first twenty
// non-empty rows that has all needed columns: variety, stock and grafts. It may also name
// date, source, tray, stem, grafter, label wrap and note. The order is free, and headings
// are English, German or those of Options.Headings; wrap is an old name of label wrap.
// Without dates, Options.Date or Options.Today must be given. Other columns are ignored,
// and Manifest.Hints says so.
//
// What the cells may hold:
//
//	date        a day that exists from 2000 to 2099, in the forms of the manual
//	variety     a name: 1-60 characters
//	stock       a name: 1-60 characters
//	grafts      a whole number, 1-8999
//	source      text: at most 120 characters
//	tray        grafts a tray: a whole number, 1-8999, giving at most 999 trays
//	stem        a diameter with its unit, 1-60 mm, as layouts.ParseLength reads it
//	grafter     text: at most 120 characters
//	label wrap  flag, loop, band or flat
//	note        text: at most 120 characters
//
// Names and texts are put into Unicode normalisation form C, white space at
// the ends is taken off and white space inside becomes one space. A variety or
// stock that stands as a whole in quotation marks loses them. Control
// characters, invisible characters, characters that change the direction of
// writing and those beyond U+FFFF are refused. An empty cell of variety, stock
// or grafts is refused; one of date stands for Options.Date.
//
// If dates or numbers could be read in two ways, such as 12/1/2026 or 1.000, the whole
// file decides. If it does not, each such cell is a fault that asks for an answer.
//
// All faults of a file are reported at once, and the rows without a fault come
// back beside them. A file has at most MaxRows rows and sheet.MaxBytes bytes.
package manifest

import (
	"io"
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// MaxRows is the most rows of a manifest, without empty rows and the header.
const MaxRows = 100_000

const maxRowsText = "100,000"

// Options says how to read what a manifest leaves open.
type Options struct {
	// Date is the graft date of rows that have none: the calendar day in its
	// own location. When it is zero, see Today.
	Date time.Time
	// Today, when it is not zero, is the graft date of all rows when none has
	// one. Where some rows have a date, one without is a fault: codes carry the
	// date and cannot be taken back. A date more than a year after Today is a
	// fault too, of the typing.
	Today time.Time
	// Order is the order of day and month in all dates that leave a choice, such as
	// 12/1/2026; with Undecided the dates of the file decide.
	Order DateOrder
	// Headings are a person's own headings, besides ours and the German ones.
	Headings Headings
	// Names are a person's decisions about names; they mark those of rows.
	Names records.Names
	// Sheet is how to read the file into rows.
	Sheet sheet.Options
	// Counts reports whether a row counts, by its number and its graft date, zero if
	// unreadable: its faults and doubts about its names are reported. Nil: all rows do.
	// Faults of the file always count.
	Counts func(row int, date time.Time) bool
}

// Manifest is what a file holds.
type Manifest struct {
	// Drafts are the rows without a fault, in their order.
	Drafts []records.Draft
	// Dated: every row has its own date.
	Dated bool
	// Hints are sentences, without a full stop, about what was not used, what was assumed,
	// and names in doubt.
	Hints []string
}

// Read reads a manifest; name is the name of the file for messages. When the
// file has faults, the error is of type Errors and names them all, and the
// Manifest holds the rows that have none. An error of r itself is returned
// wrapped, with no rows.
func Read(name string, r io.Reader, options Options) (Manifest, error) {
	drafts := &drafts{date: day(options.Date), today: day(options.Today), dates: map[int]time.Time{}}
	if !drafts.date.IsZero() {
		if _, err := codes.New(drafts.date, 1); err != nil {
			found := "the date " + drafts.date.Format(time.DateOnly) + " for rows without one"
			return Manifest{}, Errors{{File: name, Column: columnDate, Found: found, Expected: expectedYears}}
		}
	}
	reading, readable, err := readFile(name, r, drafts, options)
	if err != nil {
		return Manifest{}, err
	}
	var read Manifest
	if readable {
		drafts.dateRows(reading)
		if counts := options.Counts; counts != nil {
			reading.errors = slices.DeleteFunc(reading.errors, func(e *CellError) bool {
				date, read := drafts.dates[e.Row]
				return read && !counts(e.Row, date)
			})
		}
		var all, counted []*records.Draft
		for i := range drafts.kept {
			row := &drafts.kept[i]
			all = append(all, row)
			if options.Counts == nil || options.Counts(row.Row, row.Date) {
				counted = append(counted, row)
			}
		}
		options.Names.Settle(all)
		hints := append(reading.hints(), options.Names.Settle(counted)...) // again, for the hints about these alone
		read = Manifest{Drafts: drafts.kept, Dated: drafts.dated && !drafts.defaulted, Hints: hints}
	}
	return read, reading.err()
}

// day returns midnight UTC of the calendar day of t in its own location, or
// zero for zero.
func day(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return records.Midnight(t)
}

// drafts is the form of a manifest: a row for each batch.
type drafts struct {
	date    time.Time         // of rows without one, midnight UTC, or zero
	today   time.Time         // of all rows if none has a date, midnight UTC, or zero
	undated []int             // rows without a date, when date is zero
	dated   bool              // a row has a date
	dates   map[int]time.Time // of all rows by number; zero if unreadable

	defaulted bool // a row has none
	draft     records.Draft
	kept      []records.Draft
}

func (d *drafts) columns() []string { return append([]string{columnDate}, draftColumns()...) }

// needed leaves out the date where there is one for rows without.
func (d *drafts) needed() []string {
	columns := []string{columnDate, columnVariety, columnStock, columnGrafts}
	if !d.date.IsZero() || !d.today.IsZero() {
		return columns[1:]
	}
	return columns
}

func (d *drafts) wanted() (columns, rows string) {
	return "date, variety, stock and grafts", "a row for each batch"
}

func (d *drafts) begin(row int) { d.draft = records.Draft{Row: row, Date: d.date} }

func (d *drafts) cell(column string, c cell) *fault {
	if column == columnDate {
		return d.dateCell(c)
	}
	return setCell(&d.draft, column, c)
}

// dateCell reads the date of a row. An empty one is dated later, when there is
// a date of today.
func (d *drafts) dateCell(c cell) (f *fault) {
	d.defaulted = d.defaulted || c.IsEmpty()
	switch {
	case c.IsEmpty() && !d.date.IsZero():
		return nil
	case c.IsEmpty() && !d.today.IsZero():
		d.undated = append(d.undated, d.draft.Row)
		return nil
	}
	d.dated = d.dated || !c.IsEmpty()
	d.draft.Date, f = c.date()
	if f == nil && !d.today.IsZero() && d.draft.Date.After(records.LatestGraft(d.today)) {
		f = c.wrong("a date at most a year ahead")
	}
	return f
}

func (d *drafts) end() (column string, f *fault) {
	d.dates[d.draft.Row] = d.draft.Date
	return columnTray, trayFault(d.draft)
}

func (d *drafts) keep() { d.kept = append(d.kept, d.draft) }

// dateRows dates the rows without a date when no row has one, and finds fault
// with them otherwise.
func (d *drafts) dateRows(r *reading) {
	if d.dated {
		for _, row := range d.undated {
			r.fail(row, r.head.label(r.head.at[columnDate]), &fault{found: "nothing", expected: "a date, since other rows have one (or --date for those without)"})
		}
		d.kept = slices.DeleteFunc(d.kept, func(draft records.Draft) bool { return draft.Date.IsZero() })
		return
	}
	for i := range d.kept {
		if draft := &d.kept[i]; draft.Date.IsZero() {
			draft.Date = d.today
		}
	}
}
