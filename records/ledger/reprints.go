package ledger

import (
	"context"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// Reprinted writes down that slips were printed once more. Their time is that
// of the change, whatever At says.
func (c *Change) Reprinted(ctx context.Context, reprints []records.Reprint) error {
	for _, r := range reprints {
		_, err := c.tx.ExecContext(ctx, "INSERT INTO reprints (at, date, number, kind, units, slips) VALUES (?, ?, ?, ?, ?, ?)",
			c.at(), r.Batch.Date().Format(time.DateOnly), r.Batch.Batch(), r.Kind.String(), r.Units.String(), r.Count)
		if err != nil {
			return err
		}
	}
	return nil
}

// Reprints returns when slips with a code were printed once more, the earliest
// first: of a batch's own code the jobs that printed spare labels.
func (l *Ledger) Reprints(ctx context.Context, code codes.Code) ([]records.Reprint, error) {
	if l.version < versionOfReprints {
		return nil, nil
	}
	rows, err := l.reprints.QueryContext(ctx, code.Date().Format(time.DateOnly), code.Batch(), code.Kind().String())
	if err != nil {
		return nil, l.failure(err)
	}
	defer rows.Close() // rows.Err tells of failures
	var reprints []records.Reprint
	for rows.Next() {
		reprint := records.Reprint{Batch: code.Whole(), Kind: code.Kind()}
		var at, units string
		if err := rows.Scan(&at, &units, &reprint.Count); err != nil {
			return nil, l.failure(err)
		}
		if reprint.At, err = time.Parse(time.RFC3339, at); err != nil {
			return nil, fmt.Errorf("reprint of %v in the ledger: %w", code.Whole(), err)
		}
		if units != "" {
			if reprint.Units, err = records.ParseNumbers(units); err != nil {
				return nil, fmt.Errorf("reprint of %v in the ledger: %w", code.Whole(), err)
			}
		}
		if code.Kind() == codes.Batch || reprint.Units.Contains(code.Number()) {
			reprints = append(reprints, reprint)
		}
	}
	return reprints, l.failure(rows.Err())
}
