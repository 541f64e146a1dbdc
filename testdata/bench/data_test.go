package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records/ledger"
	"graftslip/records/manifest"
)

// The manifest goes the way that print takes it, through a new ledger, and has
// to come out as the lines of the peers' file.
func TestSameLabels(t *testing.T) {
	for _, test := range []struct {
		reason string
		n      int
	}{
		{"one label", 1},
		{"one whole batch", 24},
		{"a batch of one at the end", 25},
		{"a part of a sheet at the end", 1234},
		{"more batches than one day takes", 15_000},
	} {
		batches, err := makeBatches(test.n)
		require.NoError(t, err, test.reason)
		var rows, lines bytes.Buffer
		require.NoError(t, writeManifest(&rows, batches), test.reason)
		require.NoError(t, writeLabels(&lines, batches), test.reason)

		read, err := manifest.Read("session.csv", &rows, manifest.Options{Today: time.Date(2026, time.January, 12, 0, 0, 0, 0, time.UTC)})
		require.NoError(t, err, test.reason)
		require.Empty(t, read.Hints, test.reason)
		book, err := ledger.Open(context.Background(), filepath.Join(t.TempDir(), "ledger.db"))
		require.NoError(t, err)
		issued, err := book.Issue(context.Background(), read.Drafts, nil)
		require.NoError(t, err, test.reason)
		require.NoError(t, book.Close())

		var want strings.Builder
		n := 0
		for _, i := range issued {
			for stem := range i.Grafts {
				code, err := i.Code.Stem(stem + 1)
				require.NoError(t, err)
				fmt.Fprintf(&want, "%s\t%s\t%s\t%d of %d\t%s\t%s\n", i.Variety, i.Batch.Stock, i.Date.Format(time.DateOnly), stem+1, i.Grafts, code, code.Compact())
				n++
			}
		}
		require.Equal(t, test.n, n, test.reason)
		require.Equal(t, want.String(), lines.String(), test.reason)
	}
}

func TestScannerSendsTheSameCodes(t *testing.T) {
	batches, err := makeBatches(100)
	require.NoError(t, err)
	var lines, typed bytes.Buffer
	require.NoError(t, writeLabels(&lines, batches))
	require.NoError(t, writeCodes(&typed, batches))
	sent := strings.Split(typed.String(), "\n")
	for i, line := range strings.Split(strings.TrimSuffix(lines.String(), "\n"), "\n") {
		require.True(t, strings.HasSuffix(line, "\t"+sent[i]), "line %d: %q, %q", i+1, line, sent[i])
	}
	require.Len(t, sent, 101) // an empty one after the last line
}
