package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/records"
)

// A lost ledger may have given codes that no card shows. So Restore closes days for new
// batches, and Reopen opens them again if that was a mistake.

// Closing is one step that closed days, or opened some again.
type Closing struct {
	At     time.Time
	Until  time.Time // the last day that it closed; the zero Time when it opened days
	Opened time.Time // the first day that it opened
	By     string    // who opened them; it may be empty
	Reason string    // why they were opened
}

// closeUntil closes the days up to one for new batches; closed days stay closed.
func (c *Change) closeUntil(ctx context.Context, until time.Time) error {
	_, err := c.tx.ExecContext(ctx, "INSERT INTO restorations (at, until) VALUES (?, ?)", c.at(), until.Format(time.DateOnly))
	return err
}

// lastClosed returns the last day closed for new batches, as in 2026-11-25; "" for none.
// Opening days undoes only what was closed before it.
func lastClosed(ctx context.Context, from interface {
	QueryRowContext(ctx context.Context, query string, values ...any) *sql.Row
}) (until string, err error) {
	err = from.QueryRowContext(ctx, `SELECT coalesce(max(min(until, coalesce(
			(SELECT date(min(opened), '-1 day') FROM reopenings WHERE restoration >= restorations.id), until))), '')
		FROM restorations`).Scan(&until)
	return until, err
}

// Until returns the last day for which no new batch is issued, because a lost ledger
// may have given codes of it; the zero Time if there is none.
func (l *Ledger) Until(ctx context.Context) (time.Time, error) {
	until, err := lastClosed(ctx, l.db)
	if err != nil || until == "" {
		return time.Time{}, l.failure(err)
	}
	return time.Parse(time.DateOnly, until)
}

// Reopen opens the days from one on for new batches, although Restore closed them. A
// reason is required. Errors are as of Change, or a *records.Problem.
func (l *Ledger) Reopen(ctx context.Context, from time.Time, by, reason string) error {
	return l.Change(ctx, func(c *Change) error {
		until, err := lastClosed(ctx, c.tx)
		day := from.Format(time.DateOnly)
		switch {
		case err != nil:
			return err
		case reason == "":
			return &records.Problem{Text: "no reason is given", Advice: "explain why labels of these days cannot be in use, such as: the year was mistyped"}
		case day > until && until == "":
			return &records.Problem{Text: day + " is not closed: no day is", Advice: "new batches can have any date"}
		case day > until:
			return &records.Problem{Text: fmt.Sprintf("%s is not closed: the last closed day is %s", day, until), Advice: "new batches can have that date"}
		}
		_, err = c.tx.ExecContext(ctx, `INSERT INTO reopenings (at, opened, restoration, opened_by, reason)
			VALUES (?, ?, (SELECT max(id) FROM restorations), ?, ?)`, c.at(), day, by, reason)
		return err
	})
}

// Closings returns each closing and opening of days, in order.
func (l *Ledger) Closings(ctx context.Context) ([]Closing, error) {
	if l.version < versionOfReopenings {
		problem, advice := describe(sqlite3.SQLITE_READONLY)
		return nil, l.unusable(problem, advice, nil)
	}
	closings, err := readAll(scanClosing)(l.db.QueryContext(ctx, `
		SELECT at, until, '', '', '', id, 0 AS step FROM restorations UNION ALL
		SELECT at, '', opened, opened_by, reason, restoration, id FROM reopenings ORDER BY 6, step`))
	return closings, l.failure(err)
}

func scanClosing(row row) (closing Closing, err error) {
	var at, until, opened string
	var restoration, step int
	if err := row.Scan(&at, &until, &opened, &closing.By, &closing.Reason, &restoration, &step); err != nil {
		return closing, err
	}
	closing.At, err = time.Parse(time.RFC3339, at)
	if err == nil && until != "" {
		closing.Until, err = time.Parse(time.DateOnly, until)
	}
	if err == nil && opened != "" {
		closing.Opened, err = time.Parse(time.DateOnly, opened)
	}
	if err != nil {
		err = fmt.Errorf("closed days in the ledger: %w", err)
	}
	return closing, err
}
