package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// slowScanner is a standard input on which codes come one by one.
type slowScanner struct {
	*io.PipeReader
	send *io.PipeWriter
}

func newSlowScanner() slowScanner {
	r, w := io.Pipe()
	return slowScanner{r, w}
}

// lineWriter hands out each write as it comes.
type lineWriter chan string

func (w lineWriter) Write(b []byte) (int, error) {
	w <- string(b)
	return len(b), nil
}

// A stream is answered line by line, before the next line comes, and ends when
// the program is stopped although the scanner says nothing.
func TestStream(t *testing.T) {
	book := filepath.Join(t.TempDir(), "book.db")
	l, err := ledger.Open(context.Background(), book)
	require.NoError(t, err)
	issued, err := l.Issue(context.Background(), []records.Draft{{Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Variety: "Amber", Stock: "Oak", Grafts: 3}}, nil)
	require.NoError(t, err)
	require.NoError(t, l.Close())

	scanner, records := newSlowScanner(), make(lineWriter)
	ctx, stop := context.WithCancel(context.Background())
	var stderr bytes.Buffer
	ended := make(chan int)
	go func() {
		ended <- program{now: time.Now, open: openScan}.run(ctx, []string{"-", "--ledger", book}, scanner, records, &stderr)
	}()
	for n := 1; n <= 3; n++ {
		code, err := issued[0].Code.Stem(n)
		require.NoError(t, err)
		fmt.Fprintf(scanner.send, "%v\r\n", code)
		require.Contains(t, <-records, fmt.Sprintf("stem %d of 3", n))
	}
	stop()
	require.Equal(t, 1, <-ended)
	require.Equal(t, "error: stopped before the end\n", stderr.String())
}
