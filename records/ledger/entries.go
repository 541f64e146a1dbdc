package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// trayBase is added to the number of a tray, as in a code.
const trayBase = codes.MaxStem + 1

const selectEntries = `SELECT number, key, at, seen_by, date, batch, unit, stems, alive, growing, rooted, dead,
	out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note, coalesce(corrects, 0) FROM observations`

// Log adds an entry to the history of its batch and returns it as it is kept, and
// whether it was known: an entry whose key and content are those of one that is
// there is that one. A time that is not said is that of the clock, or of the
// entry that is corrected; one that is still to come is refused. The error is
// ErrNotIssued, a *records.EntryError, or ErrKeyUsed.
func (l *Ledger) Log(ctx context.Context, o records.Entry) (kept records.Entry, known bool, err error) {
	err = l.Change(ctx, func(c *Change) error {
		kept, known, err = c.log(ctx, l, o)
		return err
	})
	return kept, known, err
}

func (c *Change) log(ctx context.Context, l *Ledger, o records.Entry) (kept records.Entry, known bool, err error) {
	if o.Key == "" {
		return kept, false, errors.New("an entry has no key")
	}
	earlier, err := scanEntry(c.tx.QueryRowContext(ctx, selectEntries+" WHERE key = ?", o.Key))
	if err == nil {
		if !sameEntry(earlier, o) {
			return kept, false, &records.Problem{Kind: ErrKeyUsed, Text: fmt.Sprintf("this was already entered as entry %d, with different content", earlier.Number),
				Advice: "check the history, and enter what is missing as a new entry"}
		}
		return earlier, true, nil
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return kept, false, err
	}
	history, err := c.history(ctx, o.Unit)
	if _, err = l.issued(o.Unit, history.Batch, err); err != nil {
		return kept, false, err
	}
	batch := history.Batch
	if o.At.IsZero() && o.Corrects == 0 {
		o.At = c.now
	}
	o.At = o.At.Truncate(time.Second)
	o.Unit = unitOf(o, history.Entries(batch.Code))
	if (records.Entry{At: c.now}).Day().Before(batch.Date) && (o.At.After(c.now) || o.Day().Before(batch.Date)) {
		return kept, false, &records.EntryError{Unit: o.Unit,
			Problem: fmt.Sprintf("it is to be grafted on %s; nothing can be entered before that day", batch.Date.Format(time.DateOnly))}
	}
	if history, err = history.With(o); err != nil {
		return kept, false, err
	}
	kept, _ = history.Last()
	if kept.At.After(c.now) {
		form := time.DateOnly
		if kept.At.Format(form) == c.now.In(kept.At.Location()).Format(form) {
			form = time.DateTime // the day is today, what is to come is the hour
		}
		return kept, false, &records.EntryError{Unit: o.Unit, Problem: kept.At.Format(form) + " is in the future"}
	}
	kept.Number, err = c.insertEntry(ctx, kept)
	return kept, false, err
}

// sameEntry reports whether an entry that is sent says what one says that is
// there. When and by whom is left out: the ledger may have set the time, and a
// phone may have got another name since.
func sameEntry(there, sent records.Entry) bool {
	sent.Number, sent.Of, sent.At, sent.By = there.Number, there.Of, there.At, there.By
	sent.Unit = unitOf(sent, []records.HistoryEntry{{Entry: records.Entry{Number: there.Corrects, Unit: there.Unit}}})
	return there == sent
}

// unitOf is what an entry is about: to undo an entry is about what that one
// was about, wherever in the batch it was done.
func unitOf(o records.Entry, entries []records.HistoryEntry) codes.Code {
	for _, entry := range entries {
		if o.Undoes() && entry.Number == o.Corrects {
			return entry.Unit
		}
	}
	return o.Unit
}

func (c *Change) insertEntry(ctx context.Context, o records.Entry) (number int, err error) {
	unit := o.Unit.Number()
	if o.Unit.Kind() == codes.Tray {
		unit += trayBase
	}
	err = c.tx.QueryRowContext(ctx, `INSERT INTO observations (key, at, entered_at, seen_by, date, batch, unit, stems, alive, growing, rooted, dead,
		out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note, corrects)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, nullif(?, 0)) RETURNING number`,
		o.Key, o.At.Format(time.RFC3339), c.at(), o.By, o.Unit.Date().Format(time.DateOnly), o.Unit.Batch(), unit, o.Of,
		nullable(o.Alive), nullable(o.Growing), nullable(o.Rooted), nullable(o.Dead),
		o.OutOfMist, o.Flushed, o.TieRemoved, o.Sold, o.Planted, o.Culled, o.Unused, o.Note, o.Corrects).Scan(&number)
	return number, err
}

func nullable(count records.Count) sql.NullInt64 {
	n, said := count.Value()
	return sql.NullInt64{Int64: int64(n), Valid: said}
}

// History returns the batch of a code with what was entered about it. When the
// code was never issued the error is ErrNotIssued.
func (l *Ledger) History(ctx context.Context, code codes.Code) (records.History, error) {
	var entries []records.Entry
	var err error
	if l.version >= versionOfEntries {
		entries, err = readAll(scanEntry)(l.observations.QueryContext(ctx, code.Date().Format(time.DateOnly), code.Batch()))
		if err != nil {
			return records.History{}, l.failure(err)
		}
	}
	record, err := l.Find(ctx, code) // after its entries, so that it has all the stems that they are about
	if err != nil {
		return records.History{}, err
	}
	return records.NewHistory(record.Batch, entries), nil
}

// Histories returns all batches, in the order of their codes, with what was
// entered about them.
func (l *Ledger) Histories(ctx context.Context) ([]records.History, error) {
	of := map[codes.Code][]records.Entry{}
	if l.version >= versionOfEntries {
		entries, err := readAll(scanEntry)(l.db.QueryContext(ctx, selectEntries+" ORDER BY number"))
		if err != nil {
			return nil, l.failure(err)
		}
		for _, entry := range entries {
			of[entry.Unit.Whole()] = append(of[entry.Unit.Whole()], entry)
		}
	}
	batches, err := l.Search(ctx, Wanted{}) // after their entries, as in History
	if err != nil {
		return nil, err
	}
	histories := make([]records.History, len(batches))
	for i, batch := range batches {
		histories[i] = records.NewHistory(batch, of[batch.Code])
	}
	return histories, nil
}

// Entry returns the entry of a number, and whether there is one.
func (l *Ledger) Entry(ctx context.Context, number int) (entry records.Entry, is bool, err error) {
	if l.version < versionOfEntries {
		return entry, false, nil
	}
	entry, err = scanEntry(l.db.QueryRowContext(ctx, selectEntries+" WHERE number = ?", number))
	if errors.Is(err, sql.ErrNoRows) {
		return records.Entry{}, false, nil
	}
	return entry, err == nil, l.failure(err)
}

func scanEntry(row row) (records.Entry, error) {
	var o records.Entry
	var at, date string
	var batch, unit int
	var counts [4]sql.NullInt64
	err := row.Scan(&o.Number, &o.Key, &at, &o.By, &date, &batch, &unit, &o.Of, &counts[0], &counts[1], &counts[2], &counts[3],
		&o.OutOfMist, &o.Flushed, &o.TieRemoved, &o.Sold, &o.Planted, &o.Culled, &o.Unused, &o.Note, &o.Corrects)
	if err != nil {
		return records.Entry{}, err
	}
	for i, into := range []*records.Count{&o.Alive, &o.Growing, &o.Rooted, &o.Dead} {
		if counts[i].Valid {
			*into = records.Said(int(counts[i].Int64))
		}
	}
	if o.At, err = time.Parse(time.RFC3339, at); err != nil {
		return records.Entry{}, fmt.Errorf("entry %d in the ledger: %w", o.Number, err)
	}
	if o.Unit, err = unitCode(date, batch, unit); err != nil {
		return records.Entry{}, fmt.Errorf("entry %d in the ledger: %w", o.Number, err)
	}
	return o, nil
}

// unitCode is the code of a unit as the table has it.
func unitCode(date string, batch, unit int) (codes.Code, error) {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return codes.Code{}, err
	}
	code, err := codes.New(day, batch)
	switch {
	case err != nil || unit == 0:
		return code, err
	case unit <= codes.MaxStem:
		return code.Stem(unit)
	}
	return code.Tray(unit - trayBase)
}
