// Package records is the domain: batches of grafts before and after they are
// issued, and what their codes stand for. It knows no file, no database and no
// label.
package records

import (
	"time"

	"graftslip/layouts"
)

// What a batch may say at most.
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
	// Variety is the scion cultivar, without quotation marks, in Unicode
	// normalisation form C.
	Variety string
	// Stock is the rootstock, written as Variety is.
	Stock string
	// Grafts is the number of stems, 1-8999.
	Grafts int
	// Source says where the scions came from; it may be empty.
	Source string
	// TraySize is the number of grafts a tray, 1-8999; 0 means that the whole
	// batch stands in one tray.
	TraySize int
	// Stem is the diameter of the stem in mm; 0 means not said.
	Stem float64
	// Grafter names who made the grafts; it may be empty.
	Grafter string
	// Wrap is how the label goes round the stem; the zero Wrap means not said.
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
