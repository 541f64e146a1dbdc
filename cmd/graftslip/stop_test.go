package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records/ledger"
)

// countdown is a context that ends after it was asked so many times.
type countdown struct {
	context.Context
	left atomic.Int64
}

func (c *countdown) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// A print that is stopped at any step says so and leaves no file behind. It has
// issued nothing, or all and says that too.
func TestStopped(t *testing.T) {
	stopped := 0
	for _, steps := range []int64{0, 1, 5, 14, 15, 20, 29, 32, 100, 400, 650} {
		folder := t.TempDir()
		ctx := &countdown{Context: context.Background()}
		ctx.left.Store(steps)
		var stdout, stderr bytes.Buffer
		status := program{now: time.Now}.run(ctx, []string{"print", filepath.Join("..", "..", "testdata", "demo", "session.csv"),
			"--out", filepath.Join(folder, "made"), "--ledger", filepath.Join(folder, "book.db")}, nil, &stdout, &stderr)
		if status == 0 {
			continue // it was done before
		}
		stopped++
		require.Equal(t, 1, status)
		want := 0
		if strings.Contains(stderr.String(), "the ledger has the codes") {
			want = 15
			require.Equal(t, "error: stopped before the end\nhint: no file was written; the ledger has the codes, so the next print gives the same labels\n", stderr.String())
		} else {
			require.Equal(t, "error: stopped before the end\nhint: no code was issued and no file was written\n", stderr.String())
		}
		require.Empty(t, stdout.String())
		require.NoDirExists(t, filepath.Join(folder, "made"))
		if _, err := os.Stat(filepath.Join(folder, "book.db")); err == nil {
			require.Equal(t, want, batches(t, filepath.Join(folder, "book.db")))
		} else {
			require.Zero(t, want)
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
