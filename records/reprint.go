package records

import (
	"time"

	"graftslip/codes"
)

// Reprint says that slips of a batch were printed once more.
type Reprint struct {
	// At is when.
	At time.Time
	// Batch is the code of the batch.
	Batch codes.Code
	// Kind is what was printed: codes.Stem for labels of stems, codes.Tray for
	// tray cards, codes.Batch for spare labels.
	Kind codes.Kind
	// Units are the stems or trays; none for spare labels.
	Units Numbers
	// Count is how many slips were printed.
	Count int
}
