package manifest

import (
	"fmt"
	"time"

	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// Value reads a new text for one of records.AmendableFields, with the checks of Read for
// that column; a date is written as in 2026-11-25. The error is a
// *records.Problem.
func Value(column, text string, today time.Time) (string, error) {
	d := &drafts{today: day(today)}
	f := d.cell(column, cell{Cell: sheet.Cell{Text: text}})
	if f != nil {
		return "", &records.Problem{Text: fmt.Sprintf("%s: found %s, expected %s", column, f.found, f.expected), Advice: f.advice}
	}
	return d.draft.Text(column), nil
}
