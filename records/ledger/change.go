package ledger

import (
	"context"
	"database/sql"
	"time"
)

// Change is a transaction: what is done with it is done as a whole or not at
// all.
type Change struct {
	tx   *sql.Tx
	path string
	now  time.Time // of the change, in UTC
}

// Change runs make in one transaction. Its error undoes everything and is
// returned as it is. While it runs other processes wait to write, up to 30
// seconds. Other errors are a *StoreError or that of ctx.
func (l *Ledger) Change(ctx context.Context, make func(*Change) error) error {
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return l.failure(err)
	}
	defer tx.Rollback() // has no effect after Commit
	if err := make(&Change{tx: tx, path: l.path, now: l.now().UTC()}); err != nil {
		return l.failure(err)
	}
	if err := tx.Commit(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err() // ended while make ran
		}
		return l.failure(err)
	}
	return nil
}
