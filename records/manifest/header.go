package manifest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"graftslip/records/manifest/sheet"
)

// heading is a cell of the header.
type heading struct {
	written string // tidied
	column  string // that it names, "" if not used
	unit    string // in parentheses behind
}

// header is the row of headings.
type header struct {
	row      int
	names    columnNames
	headings []heading
	at       map[string]int // index of each column
	filled   map[int]bool   // columns without a heading that hold something
	dates    map[int]bool   // columns that are not used and hold a date
}

// newHeader reads a row as the header.
func newHeader(cells []sheet.Cell, names columnNames) header {
	h := header{names: names, at: map[string]int{}, filled: map[int]bool{}, dates: map[int]bool{}}
	for i, cell := range cells {
		written := tidy(cell.Text)
		_, unit := cutUnit(written)
		column := names.columns[headingKey(written)]
		h.headings = append(h.headings, heading{written, column, unit})
		if _, found := h.at[column]; !found && column != "" {
			h.at[column] = i
		}
	}
	return h
}

// has reports whether all these columns are there.
func (h *header) has(columns []string) bool { return len(h.missing(columns)) == 0 }

// missing lists those of some columns that are not there.
func (h *header) missing(columns []string) []string {
	return slices.DeleteFunc(slices.Clone(columns), func(column string) bool { _, found := h.at[column]; return found })
}

// headerFault is a fault of the header about one column, or about the row.
type headerFault struct {
	column string
	*fault
}

// faults lists what is wrong with the header: columns that come twice, and all missing
// columns as one fault.
func (h *header) faults(needed []string) []headerFault {
	var faults []headerFault
	for i, heading := range h.headings {
		if !utf8.ValidString(heading.written) {
			faults = append(faults, headerFault{letters(i), &fault{found: quote(heading.written), expected: expectedUTF8}})
		}
		if first, found := h.at[heading.column]; found && first != i {
			faults = append(faults, headerFault{letters(i), &fault{
				found:    fmt.Sprintf("%s beside %s in %s", quote(heading.written), quote(h.headings[first].written), letters(first)),
				expected: "one column for " + heading.column,
				advice:   "rename one of the two, or delete it",
			}})
		}
	}
	if missing := h.missing(needed); len(missing) > 0 {
		faults = append(faults, headerFault{"", &fault{
			found: "only " + h.list(), expected: joined(quoteAll(missing), " and ") + " too", advice: cmp.Or(h.otherFile(missing), h.advice()),
		}})
	}
	return faults
}

// otherFile is the advice if orders were given for a manifest, or the reverse.
func (h *header) otherFile(missing []string) string {
	wanted := append(germanHeadings()[columnWanted], columnWanted)
	switch {
	case len(missing) != 1:
	case missing[0] == columnWanted && len(h.missing([]string{columnGrafts})) == 0:
		return "this looks like a manifest: give it to graftslip print, or add the column wanted, the number of finished plants"
	case missing[0] == columnGrafts && slices.ContainsFunc(h.headings, func(written heading) bool {
		return slices.ContainsFunc(wanted, func(heading string) bool { return headingKey(heading) == headingKey(written.written) })
	}):
		return "this looks like orders: graftslip plan turns them into a manifest"
	}
	return ""
}

// advice offers a heading for each unused one that is close to it, or else explains how
// to list own headings.
func (h *header) advice() string {
	var offers []string
	unused := false
	for _, heading := range h.headings {
		if heading.column != "" || heading.written == "" {
			continue
		}
		unused = true
		if like := h.names.like(heading.written, h.at); like != "" {
			offers = append(offers, fmt.Sprintf("%s: did you mean %q?", quote(heading.written), like))
		}
	}
	switch {
	case len(offers) > 0:
		return strings.Join(offers, " ")
	case unused:
		return `rename the headings, or list yours in the settings, as in [columns] variety = ["Cultivar"]`
	}
	return ""
}

func quoteAll(texts []string) []string {
	var quoted []string
	for _, text := range texts {
		quoted = append(quoted, quote(text))
	}
	return quoted
}

// list returns a phrase with the columns of the header.
func (h *header) list() string {
	const most = 12
	var names []string
	for _, heading := range h.headings {
		if heading.written != "" {
			names = append(names, quote(heading.written))
		}
	}
	if len(names) == 1 {
		return "the column " + names[0] + " (commas, semicolons or tabs separate columns)"
	}
	if len(names) > most {
		names = append(names[:most], "…")
	}
	return "the columns " + strings.Join(names, ", ")
}

// label returns the name of column i for messages: its heading, if in use.
func (h *header) label(i int) string {
	if i >= len(h.headings) || h.headings[i].column == "" {
		return letters(i)
	}
	name, _ := cutUnit(h.headings[i].written)
	if lower := strings.ToLower(name); lower == h.headings[i].column || lower == oldColumnWrap {
		return lower
	}
	return name
}

// sawUnused takes note of a cell in a column that is not used.
func (h *header) sawUnused(i int, cell sheet.Cell) {
	if h.headings[i].written == "" && !cell.IsEmpty() {
		h.filled[i] = true
	}
	if !h.dates[i] {
		_, date := parseWritten(cell.Text)
		h.dates[i] = date || cell.Kind == sheet.Date
	}
}

// lostDates lists the columns of dates whose heading is like one of those for dates: rows
// without a date would be grafted today.
func (h *header) lostDates() []headerFault {
	var faults []headerFault
	for i, heading := range h.headings {
		like := ""
		if h.dates[i] {
			like = h.names.like(heading.written, h.at)
		}
		if column := h.names.columns[headingKey(like)]; column == columnDate || column == columnBy {
			faults = append(faults, headerFault{letters(i), &fault{
				found: quote(heading.written) + " over dates", expected: quote(like), advice: "rename the heading, or delete the column if the dates mean something else",
			}})
		}
	}
	return faults
}

// hints returns a sentence for each column that is not used, from left to
// right; a column without a name counts only when something stands in it.
func (h *header) hints() []string {
	var hints []string
	for i, heading := range h.headings {
		switch {
		case heading.column != "":
		case heading.written != "":
			hint := fmt.Sprintf("column %s is not used", quote(heading.written))
			if like := h.names.like(heading.written, h.at); like != "" {
				hint += fmt.Sprintf("; did you mean %q?", like)
			}
			hints = append(hints, hint)
		case h.filled[i]:
			hints = append(hints, letters(i)+" has no name and is not used")
		}
	}
	return hints
}
