package manifest

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

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
