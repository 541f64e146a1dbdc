package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// Amend adds an amendment to a batch, by a person or "", and returns the batch before and
// after. amending makes the amendment from the history of the batch; if it is empty, nothing
// is written. The error is that of amending, a *records.Problem, or ErrNotIssued.
func (l *Ledger) Amend(ctx context.Context, code codes.Code, by string, amending func(records.History) (records.Amendment, error)) (was, is records.Batch, err error) {
	err = l.Change(ctx, func(c *Change) error {
		history, err := c.history(ctx, code)
		if _, err = l.issued(code, history.Batch, err); err != nil {
			return err
		}
		amendment, err := amending(history)
		if err != nil {
			return err
		}
		amendment.By, amendment.Batch = by, history.Batch.Code
		was, is = history.Batch, history.Batch
		if amendment.Empty() {
			return nil
		}
		if err := c.insertAmendment(ctx, amendment); err != nil {
			return err
		}
		is, err = c.Batch(ctx, code)
		return err
	})
	return was, is, err
}

func (c *Change) insertAmendment(ctx context.Context, a records.Amendment) error {
	if err := a.Check(); err != nil {
		return err
	}
	var texts [6]sql.NullString // of records.AmendableFields
	for i, field := range records.AmendableFields() {
		for _, change := range a.Changes {
			if change.Field == field {
				texts[i] = sql.NullString{String: change.Is, Valid: true}
			}
		}
	}
	_, err := c.tx.ExecContext(ctx, `INSERT INTO amendments (at, made_by, date, number, grafted, variety, stock, source, grafter, note, void, reason, undoes)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, nullif(?, 0))`,
		c.now.Format(time.RFC3339), a.By, a.Batch.Date().Format(time.DateOnly), a.Batch.Batch(),
		texts[0], texts[1], texts[2], texts[3], texts[4], texts[5], a.Void, a.Reason, a.Undoes)
	return err
}

// Amendments returns the batches that were amended, in the order of their codes.
func (l *Ledger) Amendments(ctx context.Context) ([]records.Batch, error) {
	if l.version < versionOfAmendments {
		return nil, nil
	}
	batches, err := readBatches(ctx, l.db, l.version, " WHERE (date, number) IN (SELECT date, number FROM amendments)")
	return batches, l.failure(err)
}

const selectAmendments = `SELECT id, at, made_by, date, number, grafted, variety, stock, source, grafter, note, void, reason, coalesce(undoes, 0)
	FROM amendments`

// readBatches returns the batches that meet a condition on date and number, in the order of
// their codes, with their amendments. It reads amendments first, so each finds its batch.
func readBatches(ctx context.Context, from querier, version int, where string, values ...any) ([]records.Batch, error) {
	var amendments []records.Amendment
	if version >= versionOfAmendments {
		var err error
		amendments, err = readAll(scanAmendment)(from.QueryContext(ctx, selectAmendments+where+" ORDER BY id", values...))
		if err != nil {
			return nil, err
		}
	}
	batches, err := readAll(scanBatch)(from.QueryContext(ctx, selectBatches+where+" ORDER BY date, number", values...))
	return amended(batches, amendments), err
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, values ...any) (*sql.Rows, error)
}

// ofCode is a condition of readBatches, with the day and the number of a code.
const ofCode = " WHERE date = ? AND number = ?"

// ofDay is the condition that a day is the code's, or once was the graft date.
func ofDay(version int) string {
	if version < versionOfAmendments {
		return " WHERE date = ?1"
	}
	return " WHERE (date, number) IN (SELECT date, number FROM batches WHERE date = ?1 UNION SELECT date, number FROM amendments WHERE grafted = ?1)"
}

// amended applies amendments, ordered by number, to batches.
func amended(batches []records.Batch, amendments []records.Amendment) []records.Batch {
	if len(amendments) == 0 {
		return batches
	}
	of := map[codes.Code][]records.Amendment{}
	for _, a := range amendments {
		of[a.Batch] = append(of[a.Batch], a)
	}
	for i, batch := range batches {
		if list := of[batch.Code]; list != nil {
			batches[i] = batch.Amended(list)
		}
	}
	return batches
}

func scanAmendment(row row) (records.Amendment, error) {
	var a records.Amendment
	var at, date string
	var number int
	fields := records.AmendableFields()
	texts := make([]sql.NullString, len(fields))
	err := row.Scan(&a.Number, &at, &a.By, &date, &number, &texts[0], &texts[1], &texts[2], &texts[3], &texts[4], &texts[5], &a.Void, &a.Reason, &a.Undoes)
	if err != nil {
		return a, err
	}
	for i, field := range fields {
		if texts[i].Valid {
			a.Changes = append(a.Changes, records.Change{Field: field, Is: texts[i].String})
		}
	}
	if texts[0].Valid {
		_, err = time.Parse(time.DateOnly, texts[0].String)
	}
	if err == nil {
		a.At, err = time.Parse(time.RFC3339, at)
	}
	if err == nil {
		a.Batch, err = unitCode(date, number, 0)
	}
	if err != nil {
		err = fmt.Errorf("amendment %d in the ledger: %w", a.Number, err)
	}
	return a, err
}
