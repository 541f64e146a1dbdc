package records

import (
	"fmt"
	"time"

	"graftslip/codes"
)

// Record is what a code stands for.
type Record struct {
	// Batch is the batch that the code belongs to.
	Batch Batch
	// Code is Batch's own code, or that of one of its stems or trays.
	Code codes.Code
}

// Exists reports whether the batch has this stem or tray.
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

// DaysSince returns the calendar days from grafting to today, in today's location: 0 on
// the day of grafting, negative before it.
func (r Record) DaysSince(today time.Time) int {
	return DaysBetween(r.Batch.Date, Midnight(today))
}

// Words names a record within its batch: "stem 17 of 60, tray 1 of 2",
// "tray 2 of 2, stems 31–60", "batch of 60".
func (r Record) Words() string {
	switch b := r.Batch; r.Code.Kind() {
	case codes.Stem:
		return fmt.Sprintf("%s, tray %d of %d", b.UnitWords(r.Code), b.TrayOf(r.Code.Number()), b.Trays())
	case codes.Tray:
		return b.UnitWords(r.Code) + ", " + b.stemsWords(r.Code.Number(), "–")
	default:
		return fmt.Sprintf("batch of %d", b.Grafts)
	}
}

// UnitWords names a unit of the batch: "stem 17 of 60", "tray 2 of 2",
// "whole batch".
func (b Batch) UnitWords(unit codes.Code) string {
	switch unit.Kind() {
	case codes.Stem:
		return fmt.Sprintf("stem %d of %d", unit.Number(), b.Grafts)
	case codes.Tray:
		return fmt.Sprintf("tray %d of %d", unit.Number(), b.Trays())
	}
	return "whole batch"
}

// stemsWords names the first and last stem of a tray, with a dash between.
func (b Batch) stemsWords(tray int, dash string) string {
	from, to := b.StemsIn(tray)
	if from == to {
		return fmt.Sprintf("stem %d", from)
	}
	return fmt.Sprintf("stems %d%s%d", from, dash, to)
}
