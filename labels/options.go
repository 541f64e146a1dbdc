package labels

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

// Options say how labels and cards are made.
type Options struct {
	Face    *Typeface
	Stock   layouts.Stock
	Wrap    layouts.Wrap  // for batches that name none; stem labels only
	Stem    layouts.Stem  // for batches that name no diameter; stem labels only
	Symbols []symbol.Kind // in order of preference
	DPI     float64

	CardSymbol CardSymbol       // what the symbol of a tray card says
	Link       string           // address of the phone page, as ParseLink returns it; for CardLink
	Nursery    string           // stands on tray cards; may be empty
	Dates      records.DateForm // how dates are written
	Calendar   records.Calendar // says from which day to check for new growth
}

// Check finds what cannot be set of that which stands on the cards of every
// batch, the name of the nursery; an *Error.
func (o Options) Check() error {
	return errors.Join(checkText(o.Face, 0, cell{nurseryColumn, o.Nursery})...)
}

// Setup says for which label stock and which printer labels or cards were put on pages.
// It stands in the PDF, so that a proof of the file knows where a label ends.
type Setup struct {
	Stock      layouts.Stock
	DPI        float64 // printer dots an inch
	Outlines   bool    // edges and creases of the labels are drawn, for a test on plain paper
	Correction layouts.Correction
	Printed    int          // how many with print the file has; 0 if unknown
	Batches    []codes.Code // whose labels or cards the file has; none if unknown
}

// The printer resolutions that a setup may have, in dots an inch.
const (
	LeastDPI = 100.0
	MostDPI  = 2400.0
)

// String writes a setup in one line that ParseSetup reads: words of the form
// name=value. A correction is written as layouts writes it, and not at all
// where it changes nothing; neither are numbers and batches that are not known.
func (s Setup) String() string {
	words := []string{"stock=" + s.Stock.FullName(), "dpi=" + strconv.FormatFloat(s.DPI, 'f', -1, 64)}
	if s.Outlines {
		words = append(words, "outlines=yes")
	}
	if !s.Correction.None() {
		words = append(words, "shift="+s.Correction.FormatShift(), "scale="+s.Correction.FormatScale())
	}
	if s.Printed > 0 {
		words = append(words, "slips="+strconv.Itoa(s.Printed))
	}
	if len(s.Batches) > 0 {
		var names []string
		for _, batch := range s.Batches {
			names = append(names, batch.BatchName())
		}
		words = append(words, "batches="+strings.Join(names, ","))
	}
	return strings.Join(words, " ")
}

// ParseSetup reads what String writes. Words that it does not know are left
// alone: a later program may write more.
func ParseSetup(text string) (Setup, error) {
	var s Setup
	read := map[string]bool{}
	fail := func(reason any) (Setup, error) {
		return Setup{}, fmt.Errorf("%q is not a setup of labels or cards: %v", text, reason)
	}
	for word := range strings.FieldsSeq(text) {
		name, value, _ := strings.Cut(word, "=")
		if read[name] {
			return fail(fmt.Sprintf("it gives %q twice", name))
		}
		read[name] = true
		if err := s.set(name, value); err != nil {
			return fail(err)
		}
	}
	if !read["stock"] || !read["dpi"] {
		return fail("it lacks the label stock or the resolution")
	}
	return s, nil
}

func (s *Setup) set(name, value string) (err error) {
	c := &s.Correction
	switch name {
	case "stock":
		s.Stock, err = layouts.Lookup(value)
	case "dpi":
		// A page is drawn at this resolution: a wild one would fill the memory.
		if s.DPI, err = strconv.ParseFloat(value, 64); err != nil || !(s.DPI >= LeastDPI && s.DPI <= MostDPI) {
			err = fmt.Errorf("%q is not a resolution from %v to %v", value, LeastDPI, MostDPI)
		}
	case "outlines":
		if s.Outlines = value == "yes"; !s.Outlines {
			err = fmt.Errorf("outlines must be yes, not %q", value)
		}
	case "shift":
		c.ShiftX, c.ShiftY, err = layouts.ParseShift(value)
	case "scale":
		c.ScaleX, c.ScaleY, err = layouts.ParseScale(value)
	case "slips":
		printed, parseErr := strconv.ParseUint(value, 10, 31) // takes digits alone
		if s.Printed = int(printed); parseErr != nil || printed == 0 {
			err = fmt.Errorf("%q is not a number of labels or cards", value)
		}
	case "batches":
		for name := range strings.SplitSeq(value, ",") {
			batch, err := codes.ParseBatch(name)
			if err != nil {
				return err
			}
			s.Batches = append(s.Batches, batch)
		}
	}
	return err
}
