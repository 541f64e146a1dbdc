package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"graftslip/records"
)

const selectSheets = "SELECT name, stock, free, used FROM sheets"

// Sheet returns what is known of a sheet, whose name may be in other letter
// case. It reports false when there is none of that name.
func (c *Change) Sheet(ctx context.Context, name string) (records.Sheet, bool, error) {
	sheet, err := scanSheet(c.tx.QueryRowContext(ctx, selectSheets+" WHERE key = ?", records.Key(name)))
	if errors.Is(err, sql.ErrNoRows) {
		return records.Sheet{}, false, nil
	}
	return sheet, err == nil, err
}

// Remember keeps what is left of a sheet, in place of what was known of it, and
// counts how often it was used, whatever Used says.
func (c *Change) Remember(ctx context.Context, sheet records.Sheet) error {
	_, err := c.tx.ExecContext(ctx, `INSERT INTO sheets (key, name, stock, free, used, at) VALUES (?, ?, ?, ?, 1, ?)
		ON CONFLICT (key) DO UPDATE SET name = excluded.name, stock = excluded.stock, free = excluded.free, used = used + 1, at = excluded.at`,
		records.Key(sheet.Name), sheet.Name, sheet.Stock, sheet.Free.String(), c.at())
	return err
}

// Sheets returns the sheets that are remembered, by name.
func (l *Ledger) Sheets(ctx context.Context) ([]records.Sheet, error) {
	if l.version < versionOfReprints {
		return nil, nil
	}
	rows, err := l.db.QueryContext(ctx, selectSheets+" ORDER BY key")
	if err != nil {
		return nil, l.failure(err)
	}
	defer rows.Close() // rows.Err tells of failures
	var sheets []records.Sheet
	for rows.Next() {
		sheet, err := scanSheet(rows)
		if err != nil {
			return nil, l.failure(err)
		}
		sheets = append(sheets, sheet)
	}
	return sheets, l.failure(rows.Err())
}

func scanSheet(row interface{ Scan(...any) error }) (records.Sheet, error) {
	var sheet records.Sheet
	var free string
	if err := row.Scan(&sheet.Name, &sheet.Stock, &free, &sheet.Used); err != nil {
		return records.Sheet{}, err
	}
	if free == "" {
		return sheet, nil
	}
	var err error
	if sheet.Free, err = records.ParseNumbers(free); err != nil {
		return records.Sheet{}, fmt.Errorf("sheet %q in the ledger: %w", sheet.Name, err)
	}
	return sheet, nil
}
