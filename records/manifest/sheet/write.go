package sheet

import (
	"encoding/csv"
	"strings"
)

// WriteCSV writes rows as Sheet.Next reads them. Spreadsheet programs take a cell that
// begins with =, +, -, @, a tab or a line end for a formula, which may run a program or send
// what the file holds; such a cell gets an apostrophe: OWASP, "CSV Injection",
// owasp.org/www-community/attacks/CSV_Injection (seen, its source as of 2025-08).
func WriteCSV(table *csv.Writer, rows [][]string) error {
	for _, row := range rows {
		guarded := make([]string, len(row))
		for i, text := range row {
			if isFormula(text) {
				text = guard(text) + text
			}
			guarded[i] = text
		}
		if err := table.Write(guarded); err != nil {
			return err
		}
	}
	table.Flush()
	return table.Error()
}

// unguarded takes off what WriteCSV puts before a text.
func unguarded(text string) string {
	if rest, found := strings.CutPrefix(text, guard(text)); found && isFormula(rest) {
		return rest
	}
	return text
}

// isFormula reports whether a text would be a formula without the apostrophes that it may
// begin with.
func isFormula(text string) bool {
	rest := strings.TrimLeft(text, "'")
	return rest != "" && strings.ContainsRune("=+-@\t\r\n", rune(rest[0]))
}

// guard is what stands before a formula: an apostrophe, or two if the text ends with one, as
// one at both ends are a person's quotation marks.
func guard(text string) string {
	if strings.HasSuffix(text, "'") {
		return "''"
	}
	return "'"
}
