package records

import (
	"slices"

	"graftslip/codes"
)

// Outdated returns the stems whose labels, and the trays whose cards, show a record amended
// since. The reprints are the batch's, in order; what was never reprinted is as issued. A void
// batch has none.
func (b Batch) Outdated(reprints []Reprint) (stems, trays Numbers) {
	if len(b.Amendments) == 0 || b.Void {
		return nil, nil
	}
	type unit struct {
		kind   codes.Kind
		number int
	}
	shown := map[unit]int{} // the last amendment that a label or card shows
	for _, r := range reprints {
		for _, n := range r.Units {
			shown[unit{r.Kind, n}] = r.Amendment
		}
	}
	ever := b.Ever()
	outdated := func(kind codes.Kind, last int, fields ...string) (numbers Numbers) {
		for n := 1; n <= last; n++ {
			until, _ := slices.BinarySearchFunc(b.Amendments, shown[unit{kind, n}]+1, func(a Amendment, number int) int { return a.Number - number })
			if slices.ContainsFunc(fields, func(field string) bool { return ever[until].Text(field) != b.Text(field) }) {
				numbers = append(numbers, n)
			}
		}
		return numbers
	}
	return outdated(codes.Stem, b.Grafts, "date", "variety", "stock"), outdated(codes.Tray, b.Trays(), AmendableFields()...)
}
