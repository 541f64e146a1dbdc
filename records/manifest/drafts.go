package manifest

import (
	"cmp"
	"slices"
	"time"

	"graftslip/records"
)

// drafts is the form of a manifest: a row for each batch.
type drafts struct {
	date    time.Time // of rows without one, midnight UTC, or zero
	today   time.Time // of all rows when none has one, midnight UTC, or zero
	undated []int     // rows without a date, when date is zero
	dated   bool      // a row has a date
	draft   records.Draft
	kept    []records.Draft
}

func (d *drafts) isColumn(name string) bool { return name == columnDate || isDraftColumn(name) }

// needed leaves out the date where there is one for rows without.
func (d *drafts) needed() []string {
	columns := []string{columnDate, columnVariety, columnStock, columnGrafts}
	if !d.date.IsZero() || !d.today.IsZero() {
		return columns[1:]
	}
	return columns
}

func (d *drafts) wanted() (columns, rows string) {
	return "date, variety, stock and grafts", "a row for each batch"
}

func (d *drafts) begin(row int) { d.draft = records.Draft{Row: row, Date: d.date} }

func (d *drafts) cell(column, text string) *fault {
	if column == columnDate {
		return d.dateCell(text)
	}
	return setCell(&d.draft, column, text)
}

// dateCell reads the date of a row. An empty one is dated later, when there is
// a date of today.
func (d *drafts) dateCell(cell string) *fault {
	if isEmpty(cell) && d.date.IsZero() && !d.today.IsZero() {
		d.undated = append(d.undated, d.draft.Row)
		d.draft.Date = time.Time{}
		return nil
	}
	d.dated = d.dated || !isEmpty(cell)
	date, f := readDate(cell, d.date)
	if f == nil && !d.today.IsZero() && date.After(d.today.AddDate(1, 0, 0)) {
		f = &fault{quote(cell), "a date at most a year ahead"}
	}
	d.draft.Date = date
	return f
}

func (d *drafts) end() (column string, f *fault) { return columnTray, trayFault(d.draft) }

func (d *drafts) keep() { d.kept = append(d.kept, d.draft) }

// dateRows dates the rows without a date when no row has one, and finds fault
// with them otherwise.
func (d *drafts) dateRows(r *reading) {
	if d.dated {
		for _, row := range d.undated {
			r.fail(row, columnDate, &fault{"nothing", "a date, since other rows have one (or --date for those without)"})
		}
		slices.SortStableFunc(r.errors, func(a, b *CellError) int { return cmp.Compare(a.Row, b.Row) })
		d.kept = slices.DeleteFunc(d.kept, func(draft records.Draft) bool { return draft.Date.IsZero() })
		return
	}
	for i := range d.kept {
		if draft := &d.kept[i]; draft.Date.IsZero() {
			draft.Date = d.today
		}
	}
}
