package records

import (
	"slices"
	"time"

	"graftslip/codes"
)

// Amendment is one step by which the record of a batch was put right after it was issued:
// fields were changed, or the batch was made void because it was never made, or an earlier
// amendment was undone. Amendments are never changed and never removed.
type Amendment struct {
	// Number counts the amendments of all batches from 1; 0 before the ledger sets it.
	Number int
	// At is when it was made.
	At time.Time
	// By names who made it; it may be empty.
	By string
	// Batch is the code of the batch.
	Batch codes.Code
	// Changes are the fields that were changed.
	Changes []Change
	// Void: the batch was made void. Reason is why; it may be empty.
	Void   bool
	Reason string
	// Undoes is the number of the amendment that this one undoes, 0 for none.
	Undoes int
	// UndoneBy is the number of the amendment that undid this one, 0 while it stands.
	UndoneBy int
}

// Change is a field of a record before and after an amendment, as a manifest writes it.
type Change struct {
	Field   string // one of AmendableFields
	Was, Is string
}

// AmendableFields are the columns of a manifest that can be amended.
func AmendableFields() []string {
	return []string{"date", "variety", "stock", "source", "grafter", "note"}
}

// Text returns one of the AmendableFields as a manifest writes it.
func (d Draft) Text(field string) string {
	if field == "date" {
		return d.Date.Format(time.DateOnly)
	}
	return *d.text(field)
}

// text points to one of the AmendableFields in a draft, other than the date.
func (d *Draft) text(field string) *string {
	switch field {
	case "variety":
		return &d.Variety
	case "stock":
		return &d.Stock
	case "source":
		return &d.Source
	case "grafter":
		return &d.Grafter
	}
	return &d.Note
}

// with returns the draft with another text of one of the AmendableFields.
func (d Draft) with(field, text string) Draft {
	if field == "date" {
		d.Date, _ = time.Parse(time.DateOnly, text) // a Change holds only valid dates
		return d
	}
	*d.text(field) = text
	return d
}

// Amended applies amendments, ordered by number, to a batch as issued. It derives Change.Was
// from the amendments before, and UndoneBy from those after.
func (b Batch) Amended(amendments []Amendment) Batch {
	b.Amendments = slices.Clone(amendments)
	for i := range b.Amendments {
		a := &b.Amendments[i]
		a.Changes, a.UndoneBy = slices.Clone(a.Changes), 0
		for k := range a.Changes {
			c := &a.Changes[k]
			c.Was = b.Text(c.Field)
			b.Draft = b.with(c.Field, c.Is)
		}
		b.Void = b.Void || a.Void
		for k := range b.Amendments[:i] {
			if earlier := &b.Amendments[k]; a.Undoes != 0 && earlier.Number == a.Undoes {
				b.undo(earlier, a.Number)
			}
		}
	}
	return b
}

// undo undoes an amendment, the last that stands.
func (b *Batch) undo(undone *Amendment, by int) {
	undone.UndoneBy = by
	b.Void = false
	for _, c := range undone.Changes {
		b.Draft = b.with(c.Field, c.Was)
	}
}

// Standing returns the last amendment that was not undone, and whether there is one.
func (b Batch) Standing() (Amendment, bool) {
	for _, a := range slices.Backward(b.Amendments) {
		if a.Undoes == 0 && a.UndoneBy == 0 {
			return a, true
		}
	}
	return Amendment{}, false
}

// LastAmendment returns the number of the last amendment, also of one that only undid
// another; 0 when there was none.
func (b Batch) LastAmendment() int {
	if len(b.Amendments) == 0 {
		return 0
	}
	return b.Amendments[len(b.Amendments)-1].Number
}

// Versions returns the record of the batch now, then before each standing amendment, the
// newest first. The last is what was issued.
func (b Batch) Versions() []Draft {
	versions := []Draft{b.Draft}
	for _, a := range slices.Backward(b.Amendments) {
		if a.UndoneBy != 0 || len(a.Changes) == 0 {
			continue
		}
		d := versions[len(versions)-1]
		for _, c := range a.Changes {
			d = d.with(c.Field, c.Was)
		}
		versions = append(versions, d)
	}
	return versions
}

// AsIssued returns what the batch was before all amendments.
func (b Batch) AsIssued() Draft {
	versions := b.Versions()
	return versions[len(versions)-1]
}

// Ever returns the record as issued and after each amendment, including those undone since:
// labels and cards may show any of them.
func (b Batch) Ever() []Draft {
	issued := Batch{Draft: b.AsIssued()}
	ever := []Draft{issued.Draft}
	for i := range b.Amendments {
		ever = append(ever, issued.Amended(b.Amendments[:i+1]).Draft)
	}
	return ever
}

// AmendmentOf returns the last standing amendment of one of the AmendableFields, and whether
// there is one.
func (b Batch) AmendmentOf(field string) (Amendment, bool) {
	for _, a := range slices.Backward(b.Amendments) {
		if a.UndoneBy == 0 && slices.ContainsFunc(a.Changes, func(c Change) bool { return c.Field == field }) {
			return a, true
		}
	}
	return Amendment{}, false
}
