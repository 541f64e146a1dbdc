package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records/ledger"
)

// countdown is a context that ends after it was asked so many times.
type countdown struct {
	context.Context
	left int
}

func (c *countdown) Err() error {
	if c.left--; c.left < 0 {
		return context.Canceled
	}
	return nil
}

// A print that is stopped at any step says so, issues nothing and leaves
// nothing behind.
func TestStopped(t *testing.T) {
	stopped := 0
	for _, steps := range []int{0, 1, 5, 14, 15, 20, 29, 32, 100, 400, 650} {
		folder := t.TempDir()
		ctx := &countdown{context.Background(), steps}
		var stdout, stderr bytes.Buffer
		status := program{now: time.Now}.run(ctx, []string{"print", filepath.Join("..", "..", "testdata", "demo", "session.csv"),
			"--out", filepath.Join(folder, "made"), "--ledger", filepath.Join(folder, "book.db")}, nil, &stdout, &stderr)
		if status == 0 {
			continue // it was done before
		}
		stopped++
		require.Equal(t, 1, status)
		require.Equal(t, "error: stopped before the end\nhint: nothing was issued and no file was written\n", stderr.String())
		require.Empty(t, stdout.String())
		require.NoDirExists(t, filepath.Join(folder, "made"))
		if _, err := os.Stat(filepath.Join(folder, "book.db")); err == nil {
			require.Zero(t, batches(t, filepath.Join(folder, "book.db")))
		}
	}
	require.GreaterOrEqual(t, stopped, 8)
}

// batches is how many batches of the demo's day a ledger holds.
func batches(t *testing.T, book string) int {
	t.Helper()
	l, err := ledger.OpenExisting(context.Background(), book)
	require.NoError(t, err)
	defer l.Close()
	n := 0
	for number := 1; number <= codes.MaxBatch; number++ {
		code, err := codes.New(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), number)
		require.NoError(t, err)
		if _, err := l.Find(context.Background(), code); err == nil {
			n++
		}
	}
	return n
}
