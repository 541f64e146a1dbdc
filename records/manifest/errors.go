package manifest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"graftslip/records"
)

// CellError is one fault of a manifest.
type CellError struct {
	// File is the name of the file, as given to Read.
	File string
	// Row is the row of the spreadsheet, counted from 1; 0 for a fault of the
	// whole file.
	Row int
	// Column is the heading of the column, or "column" and its letter if it is
	// not in use; empty for a fault of the row or the file.
	Column string
	// Found is a phrase for what is there: the text of the cell in quotation
	// marks, shortened and with invisible characters escaped, or "nothing", or
	// words for something larger.
	Found string
	// Expected is a phrase for what should be there. It is never empty.
	Expected string
	// Advice is a sentence on what to do; it may be empty.
	Advice string
}

// Error returns one line like
//
//	tomorrow.csv row 7, grafts: found "forty", expected a whole number from 1 to 8999
func (e *CellError) Error() string { return (&Group{e}).Error() }

// Hint is the advice.
func (e *CellError) Hint() string { return e.Advice }

// Errors are all the faults of a manifest, cell by cell, by row and then from left
// to right. As an error they are those of Groups.
type Errors []*CellError

// Error returns a line for each group.
func (e Errors) Error() string {
	var lines []string
	for _, group := range e.Groups() {
		lines = append(lines, group.Error())
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the groups as errors.
func (e Errors) Unwrap() []error {
	var list []error
	for _, group := range e.Groups() {
		list = append(list, group)
	}
	return list
}

// Groups groups the cells of a column with the same fault, in the order of their
// first rows.
func (e Errors) Groups() []*Group {
	type kind struct{ file, column, expected, advice string }
	var groups []*Group
	seen := map[kind]*Group{}
	for _, cell := range e {
		key := kind{cell.File, cell.Column, cell.Expected, cell.Advice}
		if group := seen[key]; group != nil && cell.Row > 0 {
			*group = append(*group, cell)
			continue
		}
		seen[key] = &Group{cell}
		groups = append(groups, seen[key])
	}
	return groups
}

// Group is a fault of one or more cells of a column.
type Group []*CellError

// Error returns one line like
//
//	tomorrow.csv rows 4-9, 12, grafts: found "forty" and "fifty", expected a whole number from 1 to 8999
func (g *Group) Error() string {
	first := (*g)[0]
	var b strings.Builder
	b.WriteString(first.File)
	if first.Row > 0 {
		b.WriteString(" " + g.rows())
	}
	if first.Column != "" {
		b.WriteString(", " + first.Column)
	}
	fmt.Fprintf(&b, ": found %s, expected %s", g.found(), first.Expected)
	return b.String()
}

// Unwrap returns the first fault, with its advice.
func (g *Group) Unwrap() error { return (*g)[0] }

func (g *Group) rows() string {
	var rows records.Numbers
	for _, cell := range *g {
		rows = append(rows, cell.Row)
	}
	return slices.Compact(rows).Rows()
}

// found lists what the cells hold, at most three different things.
func (g *Group) found() string {
	const most = 3
	var found []string
	for _, cell := range *g {
		if !slices.Contains(found, cell.Found) {
			found = append(found, cell.Found)
		}
		if len(found) > most {
			return strings.Join(found[:most], ", ") + " and others"
		}
	}
	return joined(found, " and ")
}

// fault is what is wrong with a cell, without its place: two phrases as in CellError,
// and advice, a sentence.
type fault struct{ found, expected, advice string }

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
