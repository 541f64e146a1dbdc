package ledger

import (
	"context"
	"fmt"
	"time"
)

// Phone is a phone that may use the page.
type Phone struct {
	Hash  string // of what it carries to be known by
	Name  string // of who has it; it may be empty
	Until time.Time
}

// OpenPhone lets a phone in, and forgets those whose time is up. Errors are as of
// Change.
func (l *Ledger) OpenPhone(ctx context.Context, phone Phone) error {
	return l.Change(ctx, func(c *Change) error {
		if _, err := c.tx.ExecContext(ctx, "DELETE FROM phones WHERE until <= ?", c.at()); err != nil {
			return err
		}
		_, err := c.tx.ExecContext(ctx, "INSERT INTO phones (hash, name, opened_at, until) VALUES (?, ?, ?, ?)",
			phone.Hash, phone.Name, c.at(), phone.Until.UTC().Format(time.RFC3339))
		return err
	})
}

// Phones returns the phones that were let in and not forgotten, also those whose
// time is up.
func (l *Ledger) Phones(ctx context.Context) ([]Phone, error) {
	if l.version < versionOfEntries {
		return nil, nil
	}
	phones, err := readAll(func(row row) (phone Phone, err error) {
		var until string
		if err = row.Scan(&phone.Hash, &phone.Name, &until); err != nil {
			return phone, err
		}
		if phone.Until, err = time.Parse(time.RFC3339, until); err != nil {
			err = fmt.Errorf("a phone in the ledger: %w", err)
		}
		return phone, err
	})(l.db.QueryContext(ctx, "SELECT hash, name, until FROM phones ORDER BY opened_at, hash"))
	return phones, l.failure(err)
}

// ForgetPhones lets none of the phones in any more. Errors are as of Change.
func (l *Ledger) ForgetPhones(ctx context.Context) error {
	return l.Change(ctx, func(c *Change) error {
		_, err := c.tx.ExecContext(ctx, "DELETE FROM phones")
		return err
	})
}
