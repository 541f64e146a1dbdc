// Package sheet reads a spreadsheet file into rows of cells. What the cells mean
// is for its callers.
//
// A file is text in UTF-8, with or without a byte order mark; cells are parted
// by commas, semicolons or tabs, whichever the first line has most of. It has at
// most MaxBytes bytes.
package sheet

import (
	"fmt"
	"io"
	"strings"
)

// MaxBytes is the size of a file at most.
const MaxBytes = 16 << 20

const maxBytesText = "16 MiB"

// Kind is what a spreadsheet program takes a cell for.
type Kind uint8

const (
	Typed  Kind = iota // the text as it was typed: all of a CSV file, and text cells of a workbook
	Number             // a number of a workbook: shortest decimal, with a point
	Date               // a date of a workbook: YYYY-MM-DD, and a time of day where it is not midnight
)

// Cell is one cell of a row.
type Cell struct {
	Text string
	Kind Kind
	// Fault is what is wrong with the cell itself, nil when nothing is.
	Fault *Fault
}

// IsEmpty reports whether nothing but white space stands in the cell.
func (c Cell) IsEmpty() bool { return strings.TrimSpace(c.Text) == "" && c.Fault == nil }

// Row is a row of a sheet.
type Row struct {
	Number int // as a spreadsheet program counts, from 1
	Cells  []Cell
	// Lost is set where it is not known where the next row begins: the last
	// cell has the fault, and the row is the last.
	Lost bool
}

// IsEmpty reports whether all cells of the row are empty.
func (r Row) IsEmpty() bool {
	for _, cell := range r.Cells {
		if !cell.IsEmpty() {
			return false
		}
	}
	return true
}

// Fault is what is wrong with a file or a cell, as phrases.
type Fault struct {
	Found    string // empty for the text of a cell
	Expected string
}

func (f *Fault) Error() string { return fmt.Sprintf("found %s, expected %s", f.Found, f.Expected) }

// Options says how to read what a file leaves open.
type Options struct {
	Encoding string // of a CSV file, as the web names them; empty: found out
	Tab      string // of a workbook; empty: the first
}

// Sheet gives the rows of a file one after the other.
type Sheet struct {
	rows *lines
}

// Open reads a file. When the file is no spreadsheet that can be read the error
// is a *Fault, else it is that of r.
func Open(r io.Reader, _ Options) (*Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	text, fault := plainText(data)
	if fault != nil {
		return nil, fault
	}
	return &Sheet{newLines(text)}, nil
}

// Next returns the next row, and io.EOF after the last.
func (s *Sheet) Next() (Row, error) { return s.rows.next() }

// Hints returns sentences, without a full stop, about what was assumed.
func (s *Sheet) Hints() []string { return nil }
