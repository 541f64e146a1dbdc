package manifest

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"graftslip/records/manifest/sheet"
)

// The columns of a manifest. Orders have most of them too.
const (
	columnDate    = "date"
	columnVariety = "variety"
	columnStock   = "stock"
	columnGrafts  = "grafts"
	columnSource  = "source"
	columnTray    = "tray"
	columnStem    = "stem"
	columnGrafter = "grafter"
	columnWrap    = "label wrap"
	columnNote    = "note"

	oldColumnWrap = "wrap" // which files may have for ever
)

// isDraftColumn reports whether setCell reads a column.
func isDraftColumn(name string) bool {
	return slices.Contains([]string{columnVariety, columnStock, columnGrafts, columnSource, columnTray, columnStem,
		columnGrafter, columnWrap, columnNote}, name)
}

// header is the row of column names.
type header struct {
	form form
	// columns are the names from left to right, tidied and in lower case.
	columns []string
	// written are the names as they stand in the file, tidied.
	written []string
	// filled are the columns without a name that hold something.
	filled map[int]bool
}

// headerFault is a fault of the header about one column.
type headerFault struct {
	column string
	fault
}

// parseHeader reads the column names and reports every one that is missing,
// repeated or not text.
func parseHeader(cells []sheet.Cell, form form) (header, []headerFault) {
	h := header{form: form, filled: map[int]bool{}}
	var faults []headerFault
	first := map[string]int{}
	for i, cell := range cells {
		if !utf8.ValidString(cell.Text) {
			faults = append(faults, headerFault{letters(i), fault{quote(cell.Text), expectedUTF8}})
		}
		written := tidy(cell.Text)
		name := strings.ToLower(written)
		if name == oldColumnWrap {
			name = columnWrap
		}
		h.written = append(h.written, written)
		h.columns = append(h.columns, name)
		if name == "" {
			continue
		}
		if before, found := first[name]; found {
			faults = append(faults, headerFault{letters(i), fault{
				fmt.Sprintf("%s a second time (see %s)", quote(written), letters(before)), "each column once"}})
			continue
		}
		first[name] = i
	}
	for _, name := range form.needed() {
		if _, found := first[name]; !found {
			faults = append(faults, headerFault{name, fault{"only " + h.list(), fmt.Sprintf("a column %q", name)}})
		}
	}
	return h, faults
}

// list returns a phrase with the columns of the header.
func (h *header) list() string {
	const most = 12
	var names []string
	for _, written := range h.written {
		if written != "" {
			names = append(names, quote(written))
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

// label returns how messages call the column at index i.
func (h *header) label(i int) string {
	if i < len(h.columns) && h.form.isColumn(h.columns[i]) {
		return strings.ToLower(h.written[i])
	}
	return letters(i)
}

// sawUnused takes note of a cell in a column that is not used.
func (h *header) sawUnused(i int, cell sheet.Cell) {
	if h.columns[i] == "" && !cell.IsEmpty() {
		h.filled[i] = true
	}
}

// hints returns a sentence for each column that is not used, from left to
// right; a column without a name counts only when something stands in it.
func (h *header) hints() []string {
	var hints []string
	for i, name := range h.columns {
		switch {
		case name == "" && h.filled[i]:
			hints = append(hints, letters(i)+" has no name and is not used")
		case name != "" && !h.form.isColumn(name):
			hints = append(hints, fmt.Sprintf("column %s is not used", quote(h.written[i])))
		}
	}
	return hints
}

// letters returns "column A" for index 0, and so on as a spreadsheet does:
// "column Z", "column AA".
func letters(i int) string {
	var name []byte
	for n := i + 1; n > 0; n = (n - 1) / 26 {
		name = append(name, byte('A'+(n-1)%26))
	}
	slices.Reverse(name)
	return "column " + string(name)
}
