package ledger

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// batchColumns are the columns that scanBatch reads, in its order.
const batchColumns = "date, number, variety, stock, source, grafts, tray_size, stem, wrap, grafter, note"

const selectBatches = "SELECT " + batchColumns + " FROM batches"

// Find returns what a code stands for. When the batch, or the stem or tray of
// it, was never issued, the error is ErrNotIssued. The zero Code was never issued.
func (l *Ledger) Find(ctx context.Context, code codes.Code) (records.Record, error) {
	if err := l.checkFile(); err != nil {
		return records.Record{}, err
	}
	day, number := code.Date().Format(time.DateOnly), code.Batch()
	var amendments []records.Amendment
	if l.amendments != nil {
		var err error
		if amendments, err = readAll(scanAmendment)(l.amendments.QueryContext(ctx, day, number)); err != nil {
			return records.Record{}, l.failure(err)
		}
	}
	batch, err := scanBatch(l.find.QueryRowContext(ctx, day, number))
	return l.issued(code, amended([]records.Batch{batch}, amendments)[0], err)
}

// Wanted says which batches are looked for. What is empty does not matter;
// names are compared as Issue compares them. A void batch is never wanted.
type Wanted struct {
	Date           time.Time // of grafting; only its calendar day counts
	Variety, Stock string
}

// Matcher returns what reports whether a batch is wanted.
func (w Wanted) Matcher() func(records.Batch) bool {
	variety, stock := records.Key(w.Variety), records.Key(w.Stock)
	return func(b records.Batch) bool {
		return !b.Void && (w.Date.IsZero() || b.Date.Equal(records.Midnight(w.Date))) &&
			(variety == "" || records.Key(b.Variety) == variety) && (stock == "" || records.Key(b.Stock) == stock)
	}
}

// Search returns the batches that are wanted, in the order of their codes.
// With a date it looks at the batches of that day, without one at all of them.
func (l *Ledger) Search(ctx context.Context, wanted Wanted) ([]records.Batch, error) {
	if err := l.checkFile(); err != nil {
		return nil, err
	}
	where, values := "", []any{}
	if !wanted.Date.IsZero() {
		where, values = ofDay(l.version), append(values, wanted.Date.Format(time.DateOnly))
	}
	all, err := readBatches(ctx, l.db, l.version, where, values...)
	var batches []records.Batch
	matches := wanted.Matcher()
	for _, batch := range all {
		if matches(batch) {
			batches = append(batches, batch)
		}
	}
	return batches, l.failure(err)
}

// Numbers returns the numbers given to batches of a day, void ones included.
func (l *Ledger) Numbers(ctx context.Context, day time.Time) (records.Numbers, error) {
	given, err := readAll(func(row row) (number int, err error) { return number, row.Scan(&number) })(
		l.db.QueryContext(ctx, "SELECT number FROM batches WHERE date = ? ORDER BY number", day.Format(time.DateOnly)))
	return given, l.failure(err)
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
	if err := l.checkFile(); err != nil {
		return nil, err
	}
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
	known, err := readAll(scanBatch)(l.known.QueryContext(ctx, string(list)))
	if err == nil && len(known) > 0 && l.version >= versionOfAmendments {
		var amendments []records.Amendment
		amendments, err = readAll(scanAmendment)(l.db.QueryContext(ctx,
			selectAmendments+" WHERE (date, number) IN (SELECT value ->> 0, value ->> 1 FROM json_each(?)) ORDER BY id", string(list)))
		known = amended(known, amendments)
	}
	if err != nil {
		return nil, l.failure(err)
	}
	batches := map[codes.Code]records.Batch{}
	for _, batch := range known {
		batches[batch.Code] = batch
	}
	var found []records.Record
	for _, code := range of {
		if record := (records.Record{Batch: batches[code.Whole()], Code: code}); record.Exists() {
			found = append(found, record)
		}
	}
	return found, nil
}

// scanBatch reads one row of batchColumns.
func scanBatch(row row) (batch records.Batch, err error) {
	var date, wrap string
	var number int
	err = row.Scan(&date, &number, &batch.Variety, &batch.Stock, &batch.Source, &batch.Grafts,
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

// row is a row of a query.
type row interface{ Scan(...any) error }

// readAll reads the rows of a query, each by scan.
func readAll[T any](scan func(row) (T, error)) func(*sql.Rows, error) ([]T, error) {
	return func(rows *sql.Rows, err error) ([]T, error) {
		if err != nil {
			return nil, err
		}
		defer rows.Close() // rows.Err tells of failures
		var all []T
		for rows.Next() {
			one, err := scan(rows)
			if err != nil {
				return nil, err
			}
			all = append(all, one)
		}
		return all, rows.Err()
	}
}
