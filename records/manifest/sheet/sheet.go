// Package sheet reads a spreadsheet file into rows of cells, and writes CSV. What the
// cells mean is for its callers.
//
// A file is a workbook (.xlsx), or text whose cells are separated by commas,
// semicolons or tabs (CSV). A byte order mark gives the encoding of the text;
// without one it is UTF-8, or windows-1252 if most of it is not valid UTF-8. Lines end
// with LF, CRLF or CR. A first line such as "sep=;" names the separator.
//
// Any file, even a hostile one, takes little time and memory: a file has at most
// MaxBytes bytes, a row of it at most MaxColumns columns and maxRow bytes, and a part
// of a workbook unpacks to at most maxStream or maxIndex bytes.
package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// The largest file, row and cell.
const (
	MaxBytes   = 16 << 20
	MaxColumns = 256
	maxText    = 32_767 // characters, as in spreadsheet programs (memory)

	maxBytesText = "16 MiB"
)

// Kind is how a file holds a cell.
type Kind uint8

const (
	Typed  Kind = iota // text as typed: all of a CSV file, and text cells of a workbook
	Number             // a number of a workbook: the shortest decimal, with a point
	Date               // a date of a workbook: YYYY-MM-DD, then the time of day where it is not midnight
)

// Cell is one cell of a row.
type Cell struct {
	Text string
	Kind Kind
	// Fault is what is wrong with the cell itself, or nil.
	Fault *Fault
}

// limited returns the cell, or a fault instead of a text longer than spreadsheet
// programs allow.
func (c Cell) limited() Cell {
	if count := utf8.RuneCountInString(c.Text); count > maxText {
		return Cell{Fault: &Fault{fmt.Sprintf("a text of %d characters", count), fmt.Sprintf("at most %d in a cell", maxText)}}
	}
	return c
}

// IsEmpty reports whether the cell holds nothing but white space.
func (c Cell) IsEmpty() bool { return c.Fault == nil && strings.TrimSpace(c.Text) == "" }

// Row is a row of a sheet.
type Row struct {
	Number int // as a spreadsheet program counts, from 1
	Cells  []Cell
	// Lost is set if the next row cannot be found: the last cell has the fault,
	// and there are no more rows.
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

// Fault is what is wrong with a file or a cell, in two phrases.
type Fault struct {
	Found    string // empty for the text of the cell
	Expected string
}

func (f *Fault) Error() string { return fmt.Sprintf("found %s, expected %s", f.Found, f.Expected) }

// Options says how to read what a file does not settle.
type Options struct {
	// Encoding of a CSV file that has no byte order mark and is not UTF-8, as
	// ParseEncoding takes it; empty for windows-1252.
	Encoding string
	// Tab of a workbook; empty for the first visible one.
	Tab string
}

// Sheet gives the rows of a file one after the other.
type Sheet struct {
	rows  interface{ next() (Row, error) }
	hints func() []string
}

// Open reads a file. The error is a *Fault if it is not a readable spreadsheet, else
// that of r.
func Open(r io.Reader, options Options) (*Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	var s *Sheet
	var fault *Fault
	switch {
	case len(data) > MaxBytes:
		fault = &Fault{"more than " + maxBytesText, "a file of at most " + maxBytesText}
	case bytes.HasPrefix(data, []byte("PK")):
		s, fault = openWorkbook(data, options.Tab)
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		fault = compoundFault(data)
	case bytes.HasPrefix(data, []byte("%PDF-")):
		fault = &Fault{"a PDF file", "a workbook (.xlsx) or a CSV file: save the spreadsheet that it was made from"}
	case options.Tab != "":
		fault = &Fault{"a CSV file, which has no tabs", "no --tab, or a workbook (.xlsx)"}
	default:
		s, fault = openText(data, options.Encoding)
	}
	if fault != nil {
		return nil, fault
	}
	return s, nil
}

// Next returns the next row, and io.EOF after the last. Any other error is a *Fault
// of the file as a whole. Texts are without the apostrophe that WriteCSV puts before them.
func (s *Sheet) Next() (Row, error) {
	row, err := s.rows.next()
	for i, cell := range row.Cells {
		if cell.Kind == Typed {
			row.Cells[i].Text = unguarded(cell.Text)
		}
	}
	return row, err
}

// Hints returns sentences, without full stops, about assumptions made for the rows read
// so far.
func (s *Sheet) Hints() []string { return s.hints() }

// compoundFault returns what is wrong with a file in Microsoft's compound binary
// format: an old workbook, or a new one with a password. The name of the stream of
// an encrypted document is from [MS-OFFCRYPTO] 2.3.4 (memory).
func compoundFault(data []byte) *Fault {
	if bytes.Contains(data, []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")) {
		return &Fault{"a workbook with a password", "one without: open it, take the password off and save it"}
	}
	return &Fault{"an old workbook (such as .xls)", saveAs}
}

// saveAs advises how to save a file of another kind.
const saveAs = `a workbook (.xlsx) or a CSV file: open it in a spreadsheet program and save it as .xlsx`
