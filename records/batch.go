package records

import "graftslip/codes"

// Batch is an issued draft: one variety grafted on one stock on one day from
// one source.
type Batch struct {
	// Code is the batch's own code, of kind codes.Batch.
	Code codes.Code
	// Draft is what was issued. Grafts is the number of stems issued, so that
	// stems 1 to Grafts exist. Row is 0 when the batch was read from a ledger, and
	// that of its draft when it was just issued.
	Draft
}

// TrayOf returns the tray, counted from 1, in which a stem stands. Stems fill
// the trays in rising order. It returns 0 for a stem that the batch does not
// have.
func (b Batch) TrayOf(stem int) int {
	if stem < 1 || stem > b.Grafts {
		return 0
	}
	if b.TraySize == 0 {
		return 1
	}
	return (stem-1)/b.TraySize + 1
}

// StemsIn returns the first and the last stem of a tray, both counted from 1.
// It returns 0, 0 for a tray that the batch does not have.
func (b Batch) StemsIn(tray int) (from, to int) {
	if tray < 1 || tray > b.Trays() {
		return 0, 0
	}
	if b.TraySize == 0 {
		return 1, b.Grafts
	}
	return (tray-1)*b.TraySize + 1, min(tray*b.TraySize, b.Grafts)
}
