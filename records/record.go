package records

import (
	"time"

	"graftslip/codes"
)

// Record is what a code stands for.
type Record struct {
	// Batch is the batch that the code belongs to.
	Batch Batch
	// Code is the code asked for: Batch's own, or that of one of its stems or
	// trays.
	Code codes.Code
}

// Exists reports whether the batch has what the code stands for.
func (r Record) Exists() bool {
	switch r.Code.Kind() {
	case codes.Batch:
		return r.Batch.Grafts > 0
	case codes.Stem:
		return r.Code.Number() <= r.Batch.Grafts
	case codes.Tray:
		return r.Batch.Grafts > 0 && r.Code.Number() <= r.Batch.Trays()
	}
	return false
}

// DaysSince returns the whole calendar days from grafting to today, 0 on the
// day of grafting and negative before it. Only the calendar day of today
// counts, in its own location.
func (r Record) DaysSince(today time.Time) int {
	// Days in UTC all have 24 hours.
	return int(Midnight(today).Sub(r.Batch.Date) / (24 * time.Hour))
}
