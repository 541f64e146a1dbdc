package ledger

import (
	"context"
	"time"
)

// OpenPhone lets a phone in until a time; hash tells it from others.
func (l *Ledger) OpenPhone(ctx context.Context, hash string, until time.Time) error {
	return l.Change(ctx, func(c *Change) error {
		_, err := c.tx.ExecContext(ctx, "INSERT INTO phones (hash, opened_at, until) VALUES (?, ?, ?)",
			hash, c.at(), until.UTC().Format(time.RFC3339))
		return err
	})
}

// Phones returns the phones that may come in at a time: until when, by their
// hashes. The error is a *StoreError or that of ctx.
func (l *Ledger) Phones(ctx context.Context, at time.Time) (map[string]time.Time, error) {
	phones := map[string]time.Time{}
	if l.version < versionOfObservations {
		return phones, nil
	}
	rows, err := l.db.QueryContext(ctx, "SELECT hash, until FROM phones WHERE until > ?", at.UTC().Format(time.RFC3339))
	if err != nil {
		return nil, l.failure(err)
	}
	defer rows.Close() // rows.Err tells of failures
	for rows.Next() {
		var hash, until string
		if err := rows.Scan(&hash, &until); err != nil {
			return nil, l.failure(err)
		}
		if phones[hash], err = time.Parse(time.RFC3339, until); err != nil {
			return nil, err
		}
	}
	return phones, l.failure(rows.Err())
}

// ForgetPhones lets no phone in any more that came in before.
func (l *Ledger) ForgetPhones(ctx context.Context) error {
	return l.Change(ctx, func(c *Change) error {
		_, err := c.tx.ExecContext(ctx, "DELETE FROM phones")
		return err
	})
}
