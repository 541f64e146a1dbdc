package ledger

import "context"

// Version tells the states of an open ledger apart: it is another after each change,
// by this program or by another. It is asked for on a connection that never writes,
// for which SQLite counts the changes of all others (PRAGMA data_version).
func (l *Ledger) Version(ctx context.Context) (version int64, err error) {
	l.watching.Lock()
	defer l.watching.Unlock()
	ctx = context.WithoutCancel(ctx) // the connection outlives whoever asks first
	if l.watch == nil {
		if l.watch, err = l.db.Conn(ctx); err != nil {
			return 0, l.failure(err)
		}
	}
	err = l.watch.QueryRowContext(ctx, "PRAGMA data_version").Scan(&version)
	return version, l.failure(err)
}
