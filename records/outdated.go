package records

import "graftslip/codes"

// Outdated returns the stems whose labels, and the trays whose cards, show a record that was
// amended since. The reprints are those of the batch, in their order; what none of them has is
// as it was issued. A void batch has none.
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
	texts := map[int]Draft{} // by amendment
	outdated := func(kind codes.Kind, last int, fields ...string) (numbers Numbers) {
		for n := 1; n <= last; n++ {
			amendment := shown[unit{kind, n}]
			was, known := texts[amendment]
			if !known {
				was = b.after(amendment)
				texts[amendment] = was
			}
			for _, field := range fields {
				if was.Text(field) != b.Text(field) {
					numbers = append(numbers, n)
					break
				}
			}
		}
		return numbers
	}
	return outdated(codes.Stem, b.Grafts, "date", "variety", "stock"), outdated(codes.Tray, b.Trays(), AmendableFields()...)
}

// after returns the record as it was after one of the amendments, 0 for none.
func (b Batch) after(amendment int) Draft {
	until := 0
	for until < len(b.Amendments) && b.Amendments[until].Number <= amendment {
		until++
	}
	return Batch{Code: b.Code, Draft: b.AsIssued()}.Amended(b.Amendments[:until]).Draft
}
