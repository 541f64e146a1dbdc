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

// Reprinted writes down that slips were printed once more. Their time is that
// of the change, whatever At says.
func (c *Change) Reprinted(ctx context.Context, reprints []records.Reprint) error {
	for _, r := range reprints {
		_, err := c.tx.ExecContext(ctx, "INSERT INTO reprints (at, date, number, kind, units, slips, amendment) VALUES (?, ?, ?, ?, ?, ?, ?)",
			c.at(), r.Batch.Date().Format(time.DateOnly), r.Batch.Batch(), r.Kind.String(), r.Units.String(), r.Count, r.Amendment)
		if err != nil {
			return err
		}
	}
	return nil
}

// Reprints returns when slips with a code were printed once more, the earliest
// first: of a batch's own code the jobs that printed spare labels.
func (l *Ledger) Reprints(ctx context.Context, code codes.Code) ([]records.Reprint, error) {
	all, err := l.ReprintsOf(ctx, code.Whole())
	var reprints []records.Reprint
	for _, reprint := range all {
		if reprint.Kind == code.Kind() && (code.Kind() == codes.Batch || reprint.Units.Contains(code.Number())) {
			reprints = append(reprints, reprint)
		}
	}
	return reprints, err
}

// ReprintsOf returns the reprints of a batch, the earliest first.
func (l *Ledger) ReprintsOf(ctx context.Context, batch codes.Code) ([]records.Reprint, error) {
	if l.version < versionOfReprints {
		return nil, nil
	}
	reprints, err := readAll(func(row row) (records.Reprint, error) {
		reprint := records.Reprint{Batch: batch}
		var at, kind, units string
		err := row.Scan(&at, &kind, &units, &reprint.Count, &reprint.Amendment)
		if err == nil {
			reprint.At, err = time.Parse(time.RFC3339, at)
		}
		if err == nil {
			reprint.Units, err = numbers(units)
		}
		if err != nil {
			err = fmt.Errorf("reprint of %v in the ledger: %w", batch, err)
		}
		reprint.Kind = map[string]codes.Kind{"stem": codes.Stem, "tray": codes.Tray, "batch": codes.Batch}[kind]
		return reprint, err
	})(l.reprints.QueryContext(ctx, batch.Date().Format(time.DateOnly), batch.Batch()))
	return reprints, l.failure(err)
}

const selectSheets = "SELECT name, stock, free, used FROM sheets"

// Sheet returns what is known of a sheet, whose name may be in other letter
// case. It reports false when there is none of that name.
func (c *Change) Sheet(ctx context.Context, name string) (records.Sheet, bool, error) {
	sheet, err := scanSheet(c.tx.QueryRowContext(ctx, selectSheets+" WHERE key = ?", records.Folded(name)))
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
		records.Folded(sheet.Name), sheet.Name, sheet.Stock, sheet.Free.String(), c.at())
	return err
}

// Forget makes the sheet of a name one that was never used. A name without a sheet is no error.
func (c *Change) Forget(ctx context.Context, name string) error {
	_, err := c.tx.ExecContext(ctx, "DELETE FROM sheets WHERE key = ?", records.Folded(name))
	return err
}

// Sheets returns the sheets that are remembered, by name.
func (l *Ledger) Sheets(ctx context.Context) ([]records.Sheet, error) {
	if l.version < versionOfReprints {
		return nil, nil
	}
	sheets, err := readAll(scanSheet)(l.db.QueryContext(ctx, selectSheets+" ORDER BY key"))
	return sheets, l.failure(err)
}

func scanSheet(row row) (sheet records.Sheet, err error) {
	var free string
	if err = row.Scan(&sheet.Name, &sheet.Stock, &free, &sheet.Used); err != nil {
		return records.Sheet{}, err
	}
	if sheet.Free, err = numbers(free); err != nil {
		return records.Sheet{}, fmt.Errorf("sheet %q in the ledger: %w", sheet.Name, err)
	}
	return sheet, nil
}

// numbers reads a list of numbers as the tables have it, which may be empty.
func numbers(text string) (records.Numbers, error) {
	if text == "" {
		return nil, nil
	}
	return records.ParseNumbers(text)
}
