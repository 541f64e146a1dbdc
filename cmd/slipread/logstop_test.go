package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// day is a day at midnight UTC.
func day(year int, month time.Month, day int) time.Time {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// Entries of a stream are answered before the next code comes where they are
// done; one that is open when the program is stopped is not kept, and that is
// told.
func TestLogStreamIsStopped(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	book, err := ledger.Open(t.Context(), path)
	require.NoError(t, err)
	defer book.Close()
	issued, err := book.Issue(t.Context(), []records.Draft{{Date: day(2026, 11, 9), Variety: "Lantern Wren", Stock: "Quarry Thorn", Grafts: 3}}, nil)
	require.NoError(t, err)
	code := issued[0].Code

	scanner, answers := newSlowScanner(), make(lineWriter)
	ctx, stop := context.WithCancel(context.Background())
	var stderr bytes.Buffer
	ended := make(chan int)
	clock := func() time.Time { return time.Date(2026, 12, 7, 12, 0, 0, 0, time.UTC) }
	go func() {
		ended <- program{now: clock, open: openScan}.run(ctx, []string{"log", "-", "--ledger", path}, scanner, answers, &stderr)
	}()
	fmt.Fprintf(scanner.send, "%v\r\n2\r\ndone\r\n", code)
	require.Contains(t, <-answers, "entry 1: 2 alive")
	fmt.Fprintf(scanner.send, "%v\r\nsold 1\r\n", code)
	fmt.Fprint(scanner.send, "\r\n") // taken only when the line before it was
	stop()
	require.Equal(t, 1, <-ended)
	require.Equal(t, fmt.Sprintf("error: stopped before the end\nhint: the entry for %v was not kept\n", code), stderr.String())
	history, err := book.History(t.Context(), code)
	require.NoError(t, err)
	require.Len(t, history.Entries(code), 1)
}
