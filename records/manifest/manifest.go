// Package manifest reads a spreadsheet of grafts, saved as CSV, into drafts of
// batches.
//
// The first row that is not empty is the header. It names the columns date,
// variety, stock and grafts, and where wanted source, tray, stem, grafter, wrap
// and note, in any order and in any case; date may be left out when
// Options.Date or Options.Today is given. A column of another name is not used, and Manifest.Hints
// says so. The text is UTF-8, with or without a byte order mark; cells are
// parted by commas, semicolons or tabs, whichever the header has most of.
//
// What the cells may hold:
//
//	date     YYYY-MM-DD, a day that exists from 2000 to 2099
//	variety  a name: 1-60 characters
//	stock    a name: 1-60 characters
//	grafts   a whole number, 1-8999, in digits alone
//	source   text: at most 120 characters
//	tray     grafts a tray: a whole number, 1-8999, giving at most 999 trays
//	stem     a diameter with its unit, 1-60 mm, as layouts.ParseLength reads it
//	grafter  text: at most 120 characters
//	wrap     flag, loop or band
//	note     text: at most 120 characters
//
// Names and texts are put into Unicode normalisation form C, white space at
// the ends is taken off and white space inside becomes one space. A variety or
// stock that stands as a whole in quotation marks loses them. Control
// characters, invisible characters, characters that change the direction of
// writing and those beyond U+FFFF are refused. An empty cell of variety, stock
// or grafts is refused; one of date stands for Options.Date.
//
// All faults of a file are reported at once, and the rows without a fault come
// back beside them. A file has at most MaxRows rows and MaxBytes bytes.
package manifest

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// What a manifest may hold at most.
const (
	MaxBytes = 16 << 20 // bytes of the file
	MaxRows  = 100_000  // rows that are not empty, the header not counted

	maxBytesText, maxRowsText = "16 MiB", "100,000"
)

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
}

// Manifest is what a file holds.
type Manifest struct {
	// Drafts are the rows without a fault, in their order.
	Drafts []records.Draft
	// Hints are sentences, without a full stop, about what was not used.
	Hints []string
}

// Read reads a manifest; name is the name of the file for messages. When the
// file has faults, the error is of type Errors and names them all, and the
// Manifest holds the rows that have none. An error of r itself is returned
// wrapped, with no rows.
func Read(name string, r io.Reader, options Options) (Manifest, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Manifest{}, fmt.Errorf("reading %s: %w", name, err)
	}
	reading := &reading{file: name}
	reading.read(data, options)
	if len(reading.errors) > 0 {
		return reading.manifest, reading.errors
	}
	return reading.manifest, nil
}

// reading is the state of one Read.
type reading struct {
	file     string
	date     time.Time // of rows without one, midnight UTC, or zero
	today    time.Time // of all rows when none has one, midnight UTC, or zero
	undated  []int     // rows without a date, when date is zero
	dated    bool      // a row has a date
	head     header
	manifest Manifest
	errors   Errors
}

// fail notes a fault of a cell, or of the whole file when row is 0.
func (r *reading) fail(row int, column string, f *fault) {
	r.errors = append(r.errors, &CellError{File: r.file, Row: row, Column: column, Found: f.found, Expected: f.expected})
}

func (r *reading) read(data []byte, options Options) {
	r.date, r.today = day(options.Date), day(options.Today)
	if !r.date.IsZero() {
		if _, err := codes.New(r.date, 1); err != nil {
			r.fail(0, columnDate, &fault{"the date " + r.date.Format(time.DateOnly) + " for rows without one", expectedYears})
			return
		}
	}
	text, f := plainText(data)
	if f != nil {
		r.fail(0, "", f)
		return
	}
	rows := newRows(text)
	if r.readHeader(rows) {
		r.readRows(rows)
		r.dateRows()
		r.manifest.Hints = r.head.hints()
	}
}

// day returns midnight UTC of the calendar day of t in its own location, or
// zero for zero.
func day(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// dateRows dates the rows without a date when no row has one, and finds fault
// with them otherwise.
func (r *reading) dateRows() {
	if r.dated {
		for _, row := range r.undated {
			r.fail(row, columnDate, &fault{"nothing", "a date, since other rows have one (or --date for those without)"})
		}
		slices.SortStableFunc(r.errors, func(a, b *CellError) int { return cmp.Compare(a.Row, b.Row) })
		r.manifest.Drafts = slices.DeleteFunc(r.manifest.Drafts, func(d records.Draft) bool { return d.Date.IsZero() })
		return
	}
	for i := range r.manifest.Drafts {
		if draft := &r.manifest.Drafts[i]; draft.Date.IsZero() {
			draft.Date = r.today
		}
	}
}

// readDateCell reads the date of a row. An empty one is dated later, when
// there is a date of today.
func (r *reading) readDateCell(row int, draft *records.Draft, cell string) *fault {
	if isEmpty(cell) && r.date.IsZero() && !r.today.IsZero() {
		r.undated = append(r.undated, row)
		draft.Date = time.Time{}
		return nil
	}
	r.dated = r.dated || !isEmpty(cell)
	date, f := readDate(cell, r.date)
	if f == nil && !r.today.IsZero() && date.After(r.today.AddDate(1, 0, 0)) {
		f = &fault{quote(cell), "a date at most a year ahead"}
	}
	draft.Date = date
	return f
}

// readRows reads the rows below the header.
func (r *reading) readRows(rows *rows) {
	count := 0
	for {
		cells, err := rows.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil && allEmpty(cells) {
			continue
		}
		if count++; count > MaxRows {
			r.fail(rows.number, "", &fault{"more than " + maxRowsText + " rows", "at most " + maxRowsText + " rows in a file"})
			return
		}
		if r.readRow(rows, cells, err); rows.lost {
			return
		}
	}
	if count == 0 {
		r.fail(0, "", &fault{"a header and no rows", "a row for each batch"})
	}
}

// readHeader reads the rows up to and including the header, and reports
// whether the rows after it can be read.
func (r *reading) readHeader(rows *rows) bool {
	for {
		cells, err := rows.next()
		switch {
		case errors.Is(err, io.EOF):
			r.fail(0, "", &fault{"an empty file", "a header with the columns date, variety, stock and grafts, and a row for each batch"})
			return false
		case err != nil:
			r.fail(rows.number, letters(rows.badCell), rows.quoteFault(cells))
			return false
		case !allEmpty(cells):
			var faults []headerFault
			r.head, faults = parseHeader(cells, !r.date.IsZero() || !r.today.IsZero())
			for _, f := range faults {
				r.fail(rows.number, f.column, &f.fault)
			}
			return len(faults) == 0
		}
	}
}

// readRow reads one row into a draft, or into errors. With an error of the CSV
// reader the cell rows.badCell has a misplaced quotation mark.
func (r *reading) readRow(rows *rows, cells []string, err error) {
	if rows.lost {
		r.fail(rows.number, r.head.label(rows.badCell), rows.quoteFault(cells))
		return
	}
	before := len(r.errors)
	draft := records.Draft{Row: rows.number, Date: r.date}
	for i, column := range r.head.columns {
		cell := ""
		if i < len(cells) {
			cell = cells[i]
		}
		var f *fault
		switch {
		case err != nil && i == rows.badCell:
			f = rows.quoteFault(cells)
		case !isColumn(column):
			r.head.sawUnused(i, cell)
		case column == columnDate:
			f = r.readDateCell(rows.number, &draft, cell)
		default:
			f = setCell(&draft, column, cell)
		}
		if f != nil {
			r.fail(rows.number, r.head.label(i), f)
		}
	}
	if f := trayFault(draft); f != nil {
		r.fail(rows.number, columnTray, f)
	}
	for i := len(r.head.columns); i < len(cells); i++ {
		if !isEmpty(cells[i]) {
			r.fail(rows.number, letters(i), &fault{quote(cells[i]), "nothing after the last column of the header"})
			break
		}
	}
	if len(r.errors) == before {
		r.manifest.Drafts = append(r.manifest.Drafts, draft)
	}
}
