package records

import (
	"slices"
	"strconv"
	"time"
)

// Difference is a field in which two batches with one code differ.
type Difference struct {
	Field string // as a manifest calls it
	A, B  string // what each says
	// Lasting: it never changes once a batch is issued, so the two are different batches.
	Lasting bool
}

// Differences lists how two batches differ, apart from the rows they came from.
func Differences(a, b Batch) []Difference {
	var differ []Difference
	for _, d := range []Difference{
		{"date", a.Date.Format(time.DateOnly), b.Date.Format(time.DateOnly), true},
		{"variety", a.Variety, b.Variety, true},
		{"stock", a.Draft.Stock, b.Draft.Stock, true},
		{"source", a.Source, b.Source, true},
		{"tray", strconv.Itoa(a.TraySize), strconv.Itoa(b.TraySize), true},
		{"grafts", strconv.Itoa(a.Grafts), strconv.Itoa(b.Grafts), false},
		{"stem", strconv.FormatFloat(a.Draft.Stem, 'f', -1, 64), strconv.FormatFloat(b.Draft.Stem, 'f', -1, 64), false},
		{"grafter", a.Grafter, b.Grafter, false},
		{"label wrap", a.Draft.Wrap.String(), b.Draft.Wrap.String(), false},
		{"note", a.Note, b.Note, false},
	} {
		if d.A != d.B {
			differ = append(differ, d)
		}
	}
	return differ
}

// LastingDifference returns the first lasting one in which two batches differ, and whether
// there is one.
func LastingDifference(a, b Batch) (d Difference, differ bool) {
	for _, d := range Differences(a, b) {
		if d.Lasting {
			return d, true
		}
	}
	return Difference{}, false
}

// Shown compares the batch with the record on its card: how the card differs from the batch
// now, if it does, and whether it shows an earlier version.
func (b Batch) Shown(carried Record) (d Difference, differs, old bool) {
	d, differs = LastingDifference(b, carried.Batch)
	old = differs && slices.ContainsFunc(b.Ever(), func(was Draft) bool {
		_, differs := LastingDifference(Batch{Code: b.Code, Draft: was}, carried.Batch)
		return !differs
	})
	return d, differs, old
}
