package ledger

import (
	"fmt"
	"time"

	"graftslip/layouts"
	"graftslip/records"
)

// update returns the outcome for a draft that is a known batch: the batch from
// now on, and notes on what changes and what does not.
func update(draft records.Draft, batch records.Batch) records.Issued {
	issued := records.Issued{Batch: batch, State: records.Known, Before: batch.Grafts}
	note := func(format string, values ...any) {
		issued.Notes = append(issued.Notes, fmt.Sprintf(format, values...))
	}
	// amended notes a field whose row differs from an amendment; the amendment stays.
	amended := func(field string) bool {
		a, is := batch.AmendmentOf(field)
		if is {
			note("the %s was amended to %q on %s; the row has %q", field, batch.Text(field), a.At.Format(time.DateOnly), draft.Text(field))
		}
		return is
	}
	switch {
	case draft.Grafts > batch.Grafts:
		issued.State, issued.Grafts = records.Extended, draft.Grafts
	case draft.Grafts < batch.Grafts:
		issued.State = records.Kept
		note("the row asks for %d grafts, but %d stems have codes and keep them", draft.Grafts, batch.Grafts)
	}
	for _, field := range []string{"date", "variety", "stock", "source"} {
		if is, row := batch.Text(field), draft.Text(field); is != row && !amended(field) {
			note("the %s stays as first issued, %q; the row has %q", field, is, row)
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
		note("label wrap %s%s", draft.Wrap, was(batch.Wrap != 0, batch.Wrap.String()))
		issued.Wrap = draft.Wrap
	}
	if draft.Note != "" && draft.Note != batch.Note && !amended("note") {
		note("note %q%s", draft.Note, was(batch.Note != "", fmt.Sprintf("%q", batch.Note)))
		issued.Note = draft.Note
	}
	if draft.Grafter != "" && records.Key(draft.Grafter) != records.Key(batch.Grafter) && !amended("grafter") {
		note("grafter %q", draft.Grafter)
		issued.Grafter = draft.Grafter
	}
	return issued
}

// was names the previous value, if there was one.
func was(said bool, value string) string {
	if said {
		return ", previously " + value
	}
	return ""
}

func trays(size int) string {
	if size == 0 {
		return "one tray for the whole batch"
	}
	return fmt.Sprintf("trays of %d", size)
}
