package ledger

import (
	"fmt"

	"graftslip/layouts"
	"graftslip/records"
)

// update returns the outcome for a draft that is a known batch: the batch as it
// is to be from now on, and notes on what changes and what does not.
func update(draft records.Draft, batch records.Batch) records.Issued {
	issued := records.Issued{Batch: batch, State: records.Known, Before: batch.Grafts}
	note := func(format string, values ...any) {
		issued.Notes = append(issued.Notes, fmt.Sprintf(format, values...))
	}
	switch {
	case draft.Grafts > batch.Grafts:
		issued.State, issued.Grafts = records.Extended, draft.Grafts
	case draft.Grafts < batch.Grafts:
		issued.State = records.Kept
		note("the row asks for %d grafts, but %d stems have codes and keep them", draft.Grafts, batch.Grafts)
	}
	for _, name := range []struct{ what, draft, batch string }{
		{"variety", draft.Variety, batch.Variety}, {"stock", draft.Stock, batch.Stock}, {"source", draft.Source, batch.Source},
	} {
		if name.draft != name.batch {
			note("the %s stays as first issued, %q; the row has %q", name.what, name.batch, name.draft)
		}
	}
	if draft.TraySize != batch.TraySize {
		note("%s, as first issued; the row asks for %s", trays(batch.TraySize), trays(draft.TraySize))
	}
	if draft.Stem != 0 && draft.Stem != batch.Stem {
		note("stem diameter %s%s", layouts.FormatLength(draft.Stem), was(batch.Stem != 0, layouts.FormatLength(batch.Stem)))
		issued.Stem = draft.Stem
	}
	if draft.Wrap != 0 && draft.Wrap != batch.Wrap {
		note("wrap %s%s", draft.Wrap, was(batch.Wrap != 0, batch.Wrap.String()))
		issued.Wrap = draft.Wrap
	}
	if draft.Note != "" && draft.Note != batch.Note {
		note("note %q%s", draft.Note, was(batch.Note != "", fmt.Sprintf("%q", batch.Note)))
		issued.Note = draft.Note
	}
	if draft.Grafter != "" && batch.Grafter == "" {
		note("grafter %q", draft.Grafter)
		issued.Grafter = draft.Grafter
	}
	return issued
}

// was returns what to say of the value before, if there was one.
func was(said bool, value string) string {
	if said {
		return ", until now " + value
	}
	return ""
}

func trays(size int) string {
	if size == 0 {
		return "one tray for the whole batch"
	}
	return fmt.Sprintf("trays of %d", size)
}
