package records

import (
	"time"

	"graftslip/codes"
)

// Reprint records that labels or cards of a batch were printed again.
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
	// Count is how many labels or cards were printed.
	Count int
	// Amendment is the number of the last amendment of the batch that they show, 0 for none.
	Amendment int
}

// Sheet is a sheet of labels that was used in part, remembered by name.
type Sheet struct {
	// Name is what the grower calls it.
	Name string
	// Stock is the full name of its label stock, see layouts.Stock.FullName.
	Stock string
	// Free are the positions that are still free, counted from 1 along the rows;
	// empty when the sheet is full, so that the next one is a new sheet.
	Free Numbers
	// Used is how often it was printed on, which tells two prints apart that
	// leave the same positions free.
	Used int
}
