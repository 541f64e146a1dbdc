package ledger

import (
	"context"
	"database/sql"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/codes"
	"graftslip/records"
)

// Change is a transaction: what is done with it is done as a whole or not at
// all.
type Change struct {
	tx  *sql.Tx
	now time.Time // of the change, in the zone of the clock
}

// at is the time of the change as the tables have it.
func (c *Change) at() string { return c.now.UTC().Format(time.RFC3339) }

// Change runs do in one transaction. Its error undoes everything and is
// returned as it is. While it runs other processes wait to write, up to 30
// seconds.
func (l *Ledger) Change(ctx context.Context, do func(*Change) error) error {
	if l.version < versionOfReopenings { // it could not be brought up to date
		problem, advice := describe(sqlite3.SQLITE_READONLY)
		return l.unusable(problem, advice, nil)
	}
	if err := l.checkFile(); err != nil { // before a connection makes a new one
		return err
	}
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return l.failure(err)
	}
	defer tx.Rollback() // has no effect after Commit
	if err := l.check(ctx, tx); err != nil {
		return err
	}
	if err := do(&Change{tx: tx, now: l.now()}); err != nil {
		return l.failure(err)
	}
	if err := l.checkFile(); err != nil { // it may have taken long
		return err
	}
	if err := tx.Commit(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err() // ended while do ran
		}
		return l.failure(err)
	}
	l.settleLog(ctx)
	return l.checkFile() // else what was written would be lost
}

// Batch returns a batch. The error is sql.ErrNoRows when there is none.
func (c *Change) Batch(ctx context.Context, code codes.Code) (records.Batch, error) {
	batches, err := readBatches(ctx, c.tx, versionOfAmendments, ofCode, code.Date().Format(time.DateOnly), code.Batch())
	if err == nil && len(batches) == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		return records.Batch{}, err
	}
	return batches[0], nil
}

// history returns a batch with its entries.
func (c *Change) history(ctx context.Context, code codes.Code) (records.History, error) {
	batch, err := c.Batch(ctx, code)
	if err != nil {
		return records.History{}, err
	}
	entries, err := readAll(scanEntry)(c.tx.QueryContext(ctx, selectEntries+" WHERE date = ? AND batch = ? ORDER BY number",
		code.Date().Format(time.DateOnly), code.Batch()))
	return records.NewHistory(batch, entries), err
}

// settleLog moves committed changes from the write-ahead log into the file, so that a copy of
// the file alone has them. It empties the log, so that a file put in place of this one does not
// take it for its own. While others read, that must wait for the next change; until then the
// changes are safe in the log.
func (l *Ledger) settleLog(ctx context.Context) {
	connection, err := l.db.Conn(ctx)
	if err != nil {
		return
	}
	defer connection.Close()
	for _, statement := range []string{waiting(0), "wal_checkpoint(TRUNCATE)", waiting(patience)} {
		_, _ = connection.ExecContext(context.WithoutCancel(ctx), "PRAGMA "+statement)
	}
}
