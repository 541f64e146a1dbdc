package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"graftslip/records"
)

// Restore takes batches that another ledger issued, under their own codes: a
// batch that is not there is added, one that has fewer grafts is extended, one
// that is there stays. The outcomes come in the order of the batches.
//
// From then on no new batch is issued for days up to until, or up to the last of
// these batches' days where that is later: the ledger that was lost may have
// issued others, which are not known. What is closed stays closed, until Reopen. None of
// these days may be after records.LatestGraft.
//
// Batches that are not those of the ledger under the same codes, or do not keep to what
// records.Draft says, are named in the error, all at once. Nothing may be done with the
// Change after an error.
func (c *Change) Restore(ctx context.Context, batches []records.Batch, until time.Time) ([]records.Issued, error) {
	var refusals []error
	until = records.Midnight(until)
	latest := records.LatestGraft(records.Midnight(c.now))
	if until.After(latest) {
		refusals = append(refusals, &records.Problem{Text: until.Format(time.DateOnly) + " is more than a year ahead",
			Advice: "give the last graft date for which the lost ledger printed labels"})
	}
	restored := make([]records.Issued, 0, len(batches))
	for _, batch := range batches {
		if day := batch.Code.Date(); day.After(until) {
			until = day
		}
		if problem := problemOf(batch.Draft); problem != "" {
			refusals = append(refusals, &records.Problem{Text: fmt.Sprintf("%v: %s", batch.Code, problem),
				Advice: "leave out the cards of that batch"})
			continue
		}
		if batch.Date.After(latest) || batch.Code.Date().After(latest) {
			refusals = append(refusals, &records.Problem{Text: fmt.Sprintf("%v: its day is more than a year ahead", batch.Code),
				Advice: "check the clock of this computer; if it is right, leave out the cards of that batch"})
			continue
		}
		held, err := c.Batch(ctx, batch.Code)
		outcome := records.Issued{Batch: batch, State: records.New}
		switch {
		case errors.Is(err, sql.ErrNoRows):
			_, err = c.tx.ExecContext(ctx, insertBatch, rowOf(batch, c.at())...)
		case err != nil:
		case !wasEver(held, batch):
			refusals = append(refusals, &records.Problem{
				Text: fmt.Sprintf("%s: the ledger has %s, but what was read has %s", batch.Code, described(held), described(batch)),
				Advice: "two ledgers gave one code to different plants: keep both, " +
					"and import the cards into a ledger of their own with --ledger FILE"})
		case held.Grafts < batch.Grafts:
			outcome.State, outcome.Before, outcome.Batch = records.Extended, held.Grafts, held
			outcome.Grafts = batch.Grafts
			_, err = c.tx.ExecContext(ctx, "UPDATE batches SET grafts = ? WHERE date = ? AND number = ?",
				batch.Grafts, batch.Code.Date().Format(time.DateOnly), batch.Code.Batch())
		default:
			outcome.State, outcome.Before, outcome.Batch = records.Known, held.Grafts, held
		}
		if err == nil && len(refusals) == 0 {
			err = c.keepGrafted(ctx, batch)
		}
		var refused *records.Problem
		switch {
		case errors.As(err, &refused):
			refusals = append(refusals, refused)
		case err != nil:
			return nil, err
		}
		restored = append(restored, outcome)
	}
	if err := errors.Join(refusals...); err != nil {
		return nil, err
	}
	return restored, c.closeUntil(ctx, until)
}

// wasEver reports whether a batch of the ledger has or once had the names, and has the
// trays, of one that was read.
func wasEver(held, read records.Batch) bool {
	return held.TraySize == read.TraySize && slices.ContainsFunc(held.Ever(), func(was records.Draft) bool {
		was.Date = read.Date
		return identityOf(was) == identityOf(read.Draft)
	})
}

// keepGrafted amends a batch to the graft date on its card, if the ledger never had it.
func (c *Change) keepGrafted(ctx context.Context, read records.Batch) error {
	history, err := c.history(ctx, read.Code)
	if err != nil || slices.ContainsFunc(history.Batch.Ever(), func(was records.Draft) bool { return was.Date.Equal(read.Date) }) {
		return err
	}
	amendment, err := history.Amend([]records.Change{{Field: "date", Is: read.Text("date")}})
	if err != nil {
		return err
	}
	amendment.Batch = read.Code
	return c.insertAmendment(ctx, amendment)
}

// described names a batch in a message.
func described(b records.Batch) string {
	text := fmt.Sprintf("%s, %d grafts", records.Pair(b.Variety, b.Draft.Stock), b.Grafts)
	if b.TraySize > 0 {
		text += ", " + trays(b.TraySize)
	}
	if b.Source != "" {
		text += ", source " + b.Source
	}
	return text
}
