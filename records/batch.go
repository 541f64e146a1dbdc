// Package records is the domain: batches of grafts before and after they are
// issued, and what their codes stand for. It knows no file, no database and no
// label.
package records

import (
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
)

// Limits of a batch's fields.
const (
	MaxName = 60  // characters of a variety or stock
	MaxText = 120 // characters of a source, grafter or note

	MinStem = 1.0  // mm, the thinnest stem
	MaxStem = 60.0 // mm, the thickest stem
)

// Draft is a row of a manifest: a batch before it has a code.
type Draft struct {
	// Row is the row of the spreadsheet the draft came from, counted as a
	// spreadsheet counts (the header is row 1), and 0 when it came from
	// elsewhere.
	Row int
	// Date is the graft date at midnight UTC.
	Date time.Time
	// Variety is the scion cultivar, in Unicode normalisation form C, without
	// quotation marks unless it would be read otherwise; see QuotedName.
	Variety string
	// Stock is the rootstock, written as Variety is.
	Stock string
	// Grafts is the number of stems, 1-8999.
	Grafts int
	// Source says where the scions came from; it may be empty.
	Source string
	// TraySize is the number of grafts per tray, 1-8999; 0 means that the whole
	// batch stands in one tray.
	TraySize int
	// Stem is the diameter of the stem in mm; 0 means not given.
	Stem float64
	// Grafter names who made the grafts; it may be empty.
	Grafter string
	// Wrap is how the label goes round the stem; the zero Wrap means not given.
	Wrap layouts.Wrap
	// Note is free text; it may be empty.
	Note string
}

// IsStem reports whether a stem may have a diameter, in mm.
func IsStem(diameter float64) bool { return diameter >= MinStem && diameter <= MaxStem }

// Trays returns the number of trays: Grafts over TraySize, rounded up, and at
// least 1. The last tray holds what is left over.
func (d Draft) Trays() int {
	if d.TraySize == 0 || d.Grafts <= d.TraySize {
		return 1
	}
	return (d.Grafts + d.TraySize - 1) / d.TraySize
}

// Batch is an issued draft: one variety grafted on one stock on one day from
// one source.
type Batch struct {
	// Code is the batch's own code, of kind codes.Batch.
	Code codes.Code
	// Draft is what was issued, with its amendments, so Date may be another day than
	// Code.Date. Grafts is the number of stems issued, so that stems 1 to Grafts exist. Row is 0
	// when the batch was read from a ledger, and that of its draft when it was just issued.
	Draft
	// Amendments are all of the batch, by number.
	Amendments []Amendment
	// Void: the batch was never made. Its codes are never given again.
	Void bool
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

// State is what became of a draft when it was issued.
type State uint8

// The states. The zero State is that of a draft that has not been issued.
const (
	New      State = iota + 1 // a batch that the ledger did not have
	Known                     // a batch of the ledger, with as many grafts as asked
	Extended                  // a batch of the ledger that got more stems
	Kept                      // a batch of the ledger with more stems than asked: all are kept
)

// String returns the state in lower case, and "none" for the zero State.
func (s State) String() string {
	switch s {
	case New:
		return "new"
	case Known:
		return "known"
	case Extended:
		return "extended"
	case Kept:
		return "kept"
	}
	return "none"
}

// Issued is the outcome for one draft.
type Issued struct {
	// Batch is the batch as the ledger now holds it. Its Grafts are the stems
	// issued, which are more than the draft asked for when State is Kept; its Row is
	// the draft's.
	Batch
	// State is what became of the draft.
	State State
	// Before is the number of stems issued before, 0 for a new batch.
	Before int
	// AsNew: the draft raised a question, and a person chose a new batch.
	AsNew bool
	// Notes are sentences for the grower, without a full stop: what the draft
	// changed in the ledger and where it differs from what was issued.
	Notes []string
}

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

// DaysSince returns the calendar days from grafting to today, in today's location: 0 on
// the day of grafting, negative before it.
func (b Batch) DaysSince(today time.Time) int {
	return DaysBetween(b.Date, Midnight(today))
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
