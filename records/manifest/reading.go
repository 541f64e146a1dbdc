package manifest

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"graftslip/records/manifest/sheet"
)

// form says what a kind of spreadsheet holds: its columns, and what becomes of
// its rows. Rows come one after the other, each as begin, cells, end.
type form interface {
	// isColumn reports whether a header in lower case names a column of use.
	isColumn(name string) bool
	// needed are the columns that must be there.
	needed() []string
	// wanted says what a file holds, for one that is empty: its columns, and
	// its rows.
	wanted() (columns, rows string)
	begin(row int)
	// cell reads a cell in a column of use.
	cell(column, text string) *fault
	// end returns what is wrong with a row whose cells are each in order, and
	// in which column.
	end() (column string, f *fault)
	// keep takes the row, which has no fault.
	keep()
}

// reading is the state of reading one file.
type reading struct {
	form
	file   string
	head   header
	errors Errors
}

// readFile reads a file into a form. It reports whether the rows could be read,
// with or without faults; the error is that of r itself.
func readFile(name string, r io.Reader, form form) (*reading, bool, error) {
	reading := &reading{form: form, file: name}
	rows, err := sheet.Open(r, sheet.Options{})
	if err == nil {
		return reading, reading.read(rows), nil
	}
	if !reading.failFile(err) {
		return nil, false, fmt.Errorf("reading %s: %w", name, err)
	}
	return reading, false, nil
}

// failFile notes a fault of the whole file, and reports whether it is one.
func (r *reading) failFile(err error) bool {
	var f *sheet.Fault
	found := errors.As(err, &f)
	if found {
		r.fail(0, "", &fault{f.Found, f.Expected})
	}
	return found
}

// fail notes a fault of a cell, or of the whole file when row is 0.
func (r *reading) fail(row int, column string, f *fault) {
	r.errors = append(r.errors, &CellError{File: r.file, Row: row, Column: column, Found: f.found, Expected: f.expected})
}

// err is the faults as an error, nil when there are none.
func (r *reading) err() error {
	if len(r.errors) == 0 {
		return nil
	}
	return r.errors
}

func (r *reading) read(rows *sheet.Sheet) bool {
	return r.readHeader(rows) && r.readRows(rows)
}

// readRows reads the rows below the header, and reports whether that is all of
// them.
func (r *reading) readRows(rows *sheet.Sheet) bool {
	count := 0
	for {
		row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if r.failFile(err) {
			return false
		}
		if row.IsEmpty() {
			continue
		}
		if count++; count > MaxRows {
			r.fail(row.Number, "", &fault{"more than " + maxRowsText + " rows", "at most " + maxRowsText + " rows in a file"})
			return false
		}
		r.readRow(row)
	}
	if count == 0 {
		_, each := r.wanted()
		r.fail(0, "", &fault{"a header and no rows", each})
	}
	return true
}

// readHeader reads the rows up to and including the header, and reports
// whether the rows after it can be read.
func (r *reading) readHeader(rows *sheet.Sheet) bool {
	for {
		row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			columns, each := r.wanted()
			r.fail(0, "", &fault{"an empty file", fmt.Sprintf("a header with the columns %s, and %s", columns, each)})
			return false
		}
		if r.failFile(err) {
			return false
		}
		if row.IsEmpty() {
			continue
		}
		before := len(r.errors)
		for i, cell := range row.Cells {
			if cell.Fault != nil {
				r.fail(row.Number, letters(i), cellFault(cell))
			}
		}
		if len(r.errors) > before {
			return false
		}
		var faults []headerFault
		r.head, faults = parseHeader(row.Cells, r.form)
		for _, f := range faults {
			r.fail(row.Number, f.column, &f.fault)
		}
		return len(faults) == 0
	}
}

// readRow reads one row into the form, or into errors.
func (r *reading) readRow(row sheet.Row) {
	if row.Lost {
		last := len(row.Cells) - 1
		r.fail(row.Number, r.head.label(last), cellFault(row.Cells[last]))
		return
	}
	before := len(r.errors)
	r.begin(row.Number)
	for i, column := range r.head.columns {
		var cell sheet.Cell
		if i < len(row.Cells) {
			cell = row.Cells[i]
		}
		var f *fault
		switch {
		case cell.Fault != nil:
			f = cellFault(cell)
		case !r.isColumn(column):
			r.head.sawUnused(i, cell)
		default:
			f = r.cell(column, cell.Text)
		}
		if f != nil {
			r.fail(row.Number, r.head.label(i), f)
		}
	}
	if column, f := r.end(); f != nil {
		r.fail(row.Number, column, f)
	}
	for i := len(r.head.columns); i < len(row.Cells); i++ {
		if cell := row.Cells[i]; !cell.IsEmpty() {
			r.fail(row.Number, letters(i), &fault{quote(cell.Text), "nothing after the last column of the header"})
			break
		}
	}
	if len(r.errors) == before {
		r.keep()
	}
}

// cellFault is the fault of a cell that could not be read.
func cellFault(cell sheet.Cell) *fault {
	return &fault{cmp.Or(cell.Fault.Found, quote(cell.Text)), cell.Fault.Expected}
}

// CellError is one fault of a manifest.
type CellError struct {
	// File is the name of the file, as given to Read.
	File string
	// Row is the row of the spreadsheet, counted from 1; 0 when the fault is
	// one of the whole file.
	Row int
	// Column is the name of the column, or "column" and its letter where it
	// has no name of use; empty when the fault is one of the row or the file.
	Column string
	// Found is a phrase for what stands there: the text of the cell in
	// quotation marks, shortened and with escapes for what cannot be seen, or
	// "nothing", or words for something larger.
	Found string
	// Expected is a phrase for what should stand there. It is never empty.
	Expected string
}

// Error returns one line like
//
//	tomorrow.csv row 7, grafts: found "forty", expected a whole number from 1 to 8999
func (e *CellError) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Row > 0 {
		fmt.Fprintf(&b, " row %d", e.Row)
	}
	if e.Column != "" {
		b.WriteString(", " + e.Column)
	}
	fmt.Fprintf(&b, ": found %s, expected %s", e.Found, e.Expected)
	return b.String()
}

// Errors are all the faults of a manifest, by row and then from left to right.
type Errors []*CellError

// Error returns a line for each fault.
func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, cell := range e {
		lines[i] = cell.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the faults one by one.
func (e Errors) Unwrap() []error {
	list := make([]error, len(e))
	for i, cell := range e {
		list[i] = cell
	}
	return list
}

// fault is what is wrong with a cell, wherever the cell is. Both are phrases
// as in CellError.
type fault struct{ found, expected string }

// longestFound is how many characters of a cell a message repeats.
const longestFound = 40

// quote returns the phrase for a cell's text.
func quote(cell string) string {
	cell = strings.TrimSpace(cell)
	if cell == "" {
		return "nothing"
	}
	if utf8.RuneCountInString(cell) > longestFound {
		cut := 0
		for range longestFound - 1 {
			_, width := utf8.DecodeRuneInString(cell[cut:])
			cut += width
		}
		cell = cell[:cut] + "…"
	}
	return strconv.Quote(cell)
}

func isEmpty(cell string) bool { return strings.TrimSpace(cell) == "" }
