package ledger

import (
	"context"
	"encoding/json"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// Wanted says which batches are looked for. What is empty does not matter;
// names are compared as Issue compares them.
type Wanted struct {
	Date           time.Time // of grafting; only its calendar day counts
	Variety, Stock string
}

// Search returns the batches that are wanted, in the order of their codes.
// With a date it looks at the batches of that day, without one at all of them.
func (l *Ledger) Search(ctx context.Context, wanted Wanted) ([]records.Batch, error) {
	query, values := selectBatches, []any{}
	if !wanted.Date.IsZero() {
		query, values = query+" WHERE date = ?", append(values, wanted.Date.Format(time.DateOnly))
	}
	rows, err := l.db.QueryContext(ctx, query+" ORDER BY date, number", values...)
	if err != nil {
		return nil, l.failure(err)
	}
	defer rows.Close() // rows.Err tells of failures
	variety, stock := records.Key(wanted.Variety), records.Key(wanted.Stock)
	var batches []records.Batch
	for rows.Next() {
		batch, err := scanBatch(rows)
		if err != nil {
			return nil, l.failure(err)
		}
		if (variety == "" || records.Key(batch.Variety) == variety) && (stock == "" || records.Key(batch.Stock) == stock) {
			batches = append(batches, batch)
		}
	}
	return batches, l.failure(rows.Err())
}

// Empty reports whether no batch was ever issued.
func (l *Ledger) Empty(ctx context.Context) (bool, error) {
	var any bool
	err := l.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM batches)").Scan(&any)
	return !any, l.failure(err)
}

// Known returns the records of those codes that were issued, in their order. It
// takes one query for all.
func (l *Ledger) Known(ctx context.Context, of []codes.Code) ([]records.Record, error) {
	var wanted [][2]any // dates and numbers
	seen := map[codes.Code]bool{}
	for _, code := range of {
		if whole := code.Whole(); !seen[whole] && !code.IsZero() {
			seen[whole] = true
			wanted = append(wanted, [2]any{code.Date().Format(time.DateOnly), code.Batch()})
		}
	}
	list, err := json.Marshal(wanted)
	if err != nil {
		return nil, err
	}
	rows, err := l.known.QueryContext(ctx, string(list))
	if err != nil {
		return nil, l.failure(err)
	}
	defer rows.Close() // rows.Err tells of failures
	batches := map[codes.Code]records.Batch{}
	for rows.Next() {
		batch, err := scanBatch(rows)
		if err != nil {
			return nil, l.failure(err)
		}
		batches[batch.Code] = batch
	}
	if err := rows.Err(); err != nil {
		return nil, l.failure(err)
	}
	var found []records.Record
	for _, code := range of {
		if record := (records.Record{Batch: batches[code.Whole()], Code: code}); record.Exists() {
			found = append(found, record)
		}
	}
	return found, nil
}
