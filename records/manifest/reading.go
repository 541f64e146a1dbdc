package manifest

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// form is a kind of spreadsheet: its columns, and how its rows are read. Rows come
// one after the other, each as begin, cells, end.
type form interface {
	// columns are those in use.
	columns() []string
	// needed are the columns that must be there; the last is the count of the row.
	needed() []string
	// wanted says what an empty file should hold: its columns and its rows.
	wanted() (columns, rows string)
	begin(row int)
	// cell reads a cell in a column in use.
	cell(column string, c cell) *fault
	// end returns what is wrong with a row whose cells are all valid, and in which
	// column.
	end() (column string, f *fault)
	// keep keeps the row, which has no fault.
	keep()
}

// cell is a cell in a column in use.
type cell struct {
	sheet.Cell
	unit string // in the heading
	use  *usage
}

// wrong is a fault of the cell.
func (c cell) wrong(expected string) *fault { return &fault{found: quote(c.Text), expected: expected} }

// usage is how the dates and numbers of one file are written.
type usage struct {
	dates   dateUse
	numbers numberUse
}

// spot is a cell that shows how a file writes dates or numbers, with its text tidied.
type spot struct {
	row  int
	text string
	kind sheet.Kind
}

// line is a row below the header.
type line struct {
	number int
	cells  []placed // from left to right: those in columns in use, and those with a fault
	beyond *placed  // the first non-empty one after the last heading
	lost   *placed  // the cell after which the rows are lost
}

// placed is a cell with the index of its column.
type placed struct {
	index int
	sheet.Cell
}

// reading is the state of reading one file.
type reading struct {
	form
	options Options
	file    string
	head    header
	use     *usage
	assumed []string // hints of the sheet
	errors  Errors
}

// readFile reads a file into a form. It reports whether the rows could be read,
// with or without faults; the error is that of r itself.
func readFile(name string, r io.Reader, form form, options Options) (*reading, bool, error) {
	reading := &reading{form: form, options: options, file: name}
	rows, err := sheet.Open(r, options.Sheet)
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
		r.fail(0, "", &fault{found: f.Found, expected: f.Expected})
	}
	return found
}

// fail notes a fault of a cell, of the row if column is empty, or of the whole file
// if row is 0.
func (r *reading) fail(row int, column string, f *fault) {
	r.errors = append(r.errors, &CellError{File: r.file, Row: row, Column: column, Found: f.found, Expected: f.expected, Advice: f.advice})
}

// err is the faults as an error, nil when there are none.
func (r *reading) err() error {
	if len(r.errors) == 0 {
		return nil
	}
	slices.SortStableFunc(r.errors, func(a, b *CellError) int { return cmp.Compare(a.Row, b.Row) })
	return r.errors
}

func (r *reading) read(rows *sheet.Sheet) bool {
	below, found := r.readHeader(rows)
	if !found {
		return false
	}
	lines, found := r.lines(rows, below)
	if !found {
		return false
	}
	for _, f := range r.head.lostDates() {
		r.fail(r.head.row, f.column, f.fault)
	}
	if len(lines) == 0 {
		_, each := r.wanted()
		r.fail(0, "", &fault{found: "a header and no rows", expected: each})
	}
	r.use = r.usage(lines)
	for _, line := range lines {
		r.readLine(line)
	}
	r.assumed = rows.Hints()
	return true
}

// readHeader finds the header and returns the rows already read below it. A title may
// stand above, so the header is the first row with all needed columns, or else the row
// with the most columns in use. It reports whether the rows can be read.
func (r *reading) readHeader(rows *sheet.Sheet) (below []sheet.Row, found bool) {
	const most = 20 // rows above the header; our own choice
	names := namesFor(r.columns(), r.needed()[len(r.needed())-1], r.options.Headings)
	var read []sheet.Row
	best := 0
	for len(read) < most {
		row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if r.failFile(err) {
			return nil, false
		}
		if row.IsEmpty() {
			continue
		}
		read = append(read, row)
		head := newHeader(row.Cells, names)
		if len(read) == 1 || len(head.at) > len(r.head.at) {
			r.head, best = head, len(read)-1
		}
		if head.has(r.needed()) {
			r.head, best = head, len(read)-1
			break
		}
	}
	if len(read) > 0 {
		r.head.row = read[best].Number
	}
	assumed := strings.Join(rows.Hints(), "; ") // another tab may be meant
	if len(read) == 0 {
		columns, each := r.wanted()
		r.fail(0, "", &fault{found: "an empty file", expected: fmt.Sprintf("a header with the columns %s, and %s", columns, each), advice: assumed})
		return nil, false
	}
	for i, cell := range read[best].Cells {
		if cell.Fault != nil {
			r.fail(read[best].Number, letters(i), cellFault(cell))
		}
	}
	if len(r.errors) == 0 {
		for _, f := range r.head.faults(r.needed()) {
			if f.column == "" && assumed != "" {
				f.advice = assumed
			}
			r.fail(read[best].Number, f.column, f.fault)
		}
	}
	return read[best+1:], len(r.errors) == 0
}

// lines reads the rows below the header, starting with those already read, and reports
// whether it read all.
func (r *reading) lines(rows *sheet.Sheet, below []sheet.Row) (lines []line, all bool) {
	for {
		var row sheet.Row
		if len(below) > 0 {
			row, below = below[0], below[1:]
		} else {
			var err error
			if row, err = rows.Next(); errors.Is(err, io.EOF) {
				return lines, true
			} else if r.failFile(err) {
				return nil, false
			}
		}
		if row.IsEmpty() {
			continue
		}
		if len(lines) == MaxRows {
			r.fail(row.Number, "", &fault{found: "more than " + maxRowsText + " rows", expected: "at most " + maxRowsText + " rows in a file"})
			return nil, false
		}
		lines = append(lines, r.line(row))
	}
}

// line takes the cells that matter from a row.
func (r *reading) line(row sheet.Row) line {
	l := line{number: row.Number}
	if row.Lost {
		last := len(row.Cells) - 1
		l.lost = &placed{last, row.Cells[last]}
	}
	for i, cell := range row.Cells {
		switch {
		case i >= len(r.head.headings):
			if l.beyond == nil && !cell.IsEmpty() {
				l.beyond = &placed{i, cell}
			}
		case r.head.headings[i].column != "" || cell.Fault != nil:
			l.cells = append(l.cells, placed{i, cell})
		default:
			r.head.sawUnused(i, cell)
		}
	}
	for i := len(row.Cells); i < len(r.head.headings); i++ {
		if r.head.headings[i].column != "" {
			l.cells = append(l.cells, placed{index: i})
		}
	}
	return l
}

// usage finds how the file writes its dates and numbers.
func (r *reading) usage(lines []line) *usage {
	var dates, counts, others []spot
	for _, line := range lines {
		for _, cell := range line.cells {
			if cell.Kind == sheet.Number || cell.Fault != nil || cell.IsEmpty() {
				continue
			}
			kind := &others
			switch r.head.headings[cell.index].column {
			case columnDate, columnBy:
				kind = &dates
			case columnGrafts, columnTray, columnWanted:
				kind = &counts
			case columnStem, columnSure:
			default:
				continue
			}
			*kind = append(*kind, spot{line.number, tidy(cell.Text), cell.Kind})
		}
	}
	return &usage{decideDates(dates, r.options.Order), decideNumbers(counts, others)}
}

// readLine reads one row into the form, or into errors.
func (r *reading) readLine(line line) {
	if line.lost != nil {
		r.fail(line.number, r.head.label(line.lost.index), cellFault(line.lost.Cell))
		return
	}
	if r.isExample(line) {
		r.fail(line.number, "", &fault{found: "the example row of a template", expected: "rows of your own: delete this one"})
		return
	}
	before := len(r.errors)
	r.begin(line.number)
	for _, placed := range line.cells {
		heading := r.head.headings[placed.index]
		f := cellFault(placed.Cell)
		if f == nil {
			f = r.cell(heading.column, cell{placed.Cell, heading.unit, r.use})
		}
		if f != nil {
			r.fail(line.number, r.head.label(placed.index), f)
		}
	}
	if column, f := r.end(); f != nil {
		r.fail(line.number, r.head.label(r.head.at[column]), f)
	}
	if line.beyond != nil {
		r.fail(line.number, letters(line.beyond.index), &fault{found: quote(line.beyond.Text), expected: "nothing after the last column of the header"})
	}
	if len(r.errors) == before {
		r.keep()
	}
}

// cellFault is the fault of a cell that could not be read, or nil.
func cellFault(cell sheet.Cell) *fault {
	if cell.Fault == nil {
		return nil
	}
	return &fault{found: cmp.Or(cell.Fault.Found, quote(cell.Text)), expected: cell.Fault.Expected}
}

// isExample reports whether a row is the example of a template, wherever it stands.
func (r *reading) isExample(line line) bool {
	for _, cell := range line.cells {
		if r.head.headings[cell.index].column == columnVariety {
			return len(cell.Text) < 2*len(exampleVariety) && records.Key(unquote(tidy(cell.Text))) == records.Key(exampleVariety)
		}
	}
	return false
}

// hints are sentences about what was ignored and what was assumed.
func (r *reading) hints() []string {
	hints := append(r.assumed, r.head.hints()...)
	if guessed := r.use.numbers.guessed; guessed != nil {
		n, _ := parseNumber(guessed.text)
		hints = append(hints, fmt.Sprintf("%s in row %d is read as %s: a count has no decimals", quote(guessed.text), guessed.row, n.whole+n.fraction))
	}
	return hints
}
