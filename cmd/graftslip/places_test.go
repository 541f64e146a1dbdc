package main

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// What a print that failed has taken of a sheet is free again, but not where another
// print has taken more of it since.
func TestSheetsArePutBack(t *testing.T) {
	ctx := context.Background()
	stock, err := layouts.Lookup("letter-2x10")
	require.NoError(t, err)
	part := records.Sheet{Name: "wet", Stock: stock.Name, Free: records.Range(5, 20)}
	other := records.Sheet{Name: "wet", Stock: stock.Name, Free: records.Range(18, 20)}
	for _, row := range []struct {
		reason        string
		before, since []records.Sheet
		left          []records.Sheet
	}{
		{"a sheet used in part", []records.Sheet{part}, nil, []records.Sheet{{Name: "wet", Stock: stock.Name, Free: part.Free, Used: 3}}},
		{"a new sheet", nil, nil, nil},
		{"one that another print has used", []records.Sheet{part}, []records.Sheet{other}, []records.Sheet{{Name: "wet", Stock: stock.Name, Free: other.Free, Used: 3}}},
		{"a new one that another print has used", nil, []records.Sheet{other}, []records.Sheet{{Name: "wet", Stock: stock.Name, Free: other.Free, Used: 2}}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			book, err := ledger.Open(ctx, filepath.Join(t.TempDir(), "book.db"))
			require.NoError(t, err)
			defer book.Close()
			asked := placeFlags{sheet: "wet"}
			require.NoError(t, book.Change(ctx, func(c *ledger.Change) error {
				for _, sheet := range row.before {
					require.NoError(t, c.Remember(ctx, sheet))
				}
				was, err := asked.places(ctx, c, stock)
				require.NoError(t, err)
				require.NoError(t, asked.remember(ctx, c, was, 3))
				for _, sheet := range row.since {
					require.NoError(t, c.Remember(ctx, sheet))
				}
				return asked.putBack(ctx, c, was, 3)
			}))
			left, err := book.Sheets(ctx)
			require.NoError(t, err)
			require.Equal(t, row.left, left)
		})
	}
}
