package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/ledger"
)

// A ledger into which nothing was printed yet is no empty bed: it is likely the
// wrong one.
func TestLedgerWithoutBatches(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	book, err := ledger.Open(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, book.Close())
	for _, verb := range []string{"due", "bed"} {
		status, stdout, stderr := slipread(t, verb, "--ledger", path)
		require.Equal(t, 1, status, verb)
		require.Empty(t, stdout)
		require.Equal(t, "error: the ledger "+path+" has no batches\nhint: were the labels printed from another ledger? Give it with --ledger FILE\n", stderr)
		status, stdout, stderr = slipread(t, verb, "--json", "--ledger", path)
		require.Equal(t, 1, status, verb)
		require.Equal(t, `{"fault":"not-in-ledger","message":"the ledger `+path+" has no batches\"}\n", stdout)
		require.Empty(t, stderr)
	}
	for _, arguments := range [][]string{{"history", "26313-001-9001-23"}, {"log", "26313-001-9001-23", "--alive", "3"}} {
		status, _, stderr := slipread(t, append(arguments, "--ledger", path)...)
		require.Equal(t, 1, status, arguments)
		require.Contains(t, stderr, "error: 26313-001-9001-23: batch 1 of 2026-11-09 is not in the ledger\n")
	}
}
