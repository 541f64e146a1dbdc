package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

const selectBatches = "SELECT date, number, variety, stock, source, grafts, tray_size, stem, wrap, grafter, note FROM batches"

// Find returns what a code stands for. When the batch, or the stem or tray of
// it, was never issued, the error is ErrNotIssued. The zero Code was never issued.
func (l *Ledger) Find(ctx context.Context, code codes.Code) (records.Record, error) {
	batch, err := scanBatch(l.find.QueryRowContext(ctx, code.Date().Format(time.DateOnly), code.Batch()))
	return l.issued(code, batch, err)
}

// batchesOn returns the batches of a day in the order of their codes.
func batchesOn(ctx context.Context, statement *sql.Stmt, date time.Time) ([]records.Batch, error) {
	rows, err := statement.QueryContext(ctx, date.Format(time.DateOnly))
	if err != nil {
		return nil, err
	}
	defer rows.Close() // rows.Err tells of failures
	var batches []records.Batch
	for rows.Next() {
		batch, err := scanBatch(rows)
		if err != nil {
			return nil, err
		}
		batches = append(batches, batch)
	}
	return batches, rows.Err()
}

// scanBatch reads one row of selectBatches.
func scanBatch(row interface{ Scan(...any) error }) (records.Batch, error) {
	var batch records.Batch
	var date, wrap string
	var number int
	err := row.Scan(&date, &number, &batch.Variety, &batch.Stock, &batch.Source, &batch.Grafts,
		&batch.TraySize, &batch.Stem, &wrap, &batch.Grafter, &batch.Note)
	if err != nil {
		return records.Batch{}, err
	}
	if batch.Date, err = time.Parse(time.DateOnly, date); err != nil {
		return records.Batch{}, fmt.Errorf("batch %d of %s in the ledger: %w", number, date, err)
	}
	if batch.Code, err = codes.New(batch.Date, number); err != nil {
		return records.Batch{}, fmt.Errorf("batch %d of %s in the ledger: %w", number, date, err)
	}
	if wrap != "" {
		if batch.Wrap, err = layouts.ParseWrap(wrap); err != nil {
			return records.Batch{}, fmt.Errorf("batch %d of %s in the ledger: %w", number, date, err)
		}
	}
	return batch, nil
}
