package labels

import (
	"errors"

	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

// Options say how slips are made.
type Options struct {
	Face    *Typeface
	Words   Words
	Stock   layouts.Stock
	Wrap    layouts.Wrap  // for batches that name none; stem labels only
	Stem    layouts.Stem  // for batches that name no diameter; stem labels only
	Symbols []symbol.Kind // in order of preference
	DPI     float64

	CardSymbol CardSymbol       // what the symbol of a tray card says
	Link       string           // address of the phone page, as ParseLink returns it; for CardLink
	Nursery    string           // stands on tray cards; may be empty
	Dates      records.DateForm // how dates are written
	Calendar   records.Calendar // says from which day to look for new growth
}

// Check finds what cannot be set of that which stands on the slips of every
// batch, the name of the nursery; an *Error.
func (o Options) Check() error {
	return errors.Join(checkText(o.Face, 0, cell{nurseryColumn, o.Nursery})...)
}
