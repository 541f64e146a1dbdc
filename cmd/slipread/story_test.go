package main

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
)

// slipread runs the program in this process.
func slipread(t testing.TB, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	clock := func() time.Time { return time.Date(2026, 12, 7, 12, 0, 0, 0, time.UTC) }
	status = program{now: clock, open: openScan}.run(context.Background(), args, strings.NewReader(""), &out, &errs)
	return status, out.String(), errs.String()
}

// batchesOf returns all that a ledger holds.
func batchesOf(t testing.TB, path string) []records.Batch {
	t.Helper()
	book, err := ledger.OpenExisting(context.Background(), path)
	require.NoError(t, err)
	defer book.Close()
	batches, err := book.Search(context.Background(), ledger.Wanted{})
	require.NoError(t, err)
	return batches
}

// TestDrownedComputer prints the demo with cards that carry their records,
// loses the ledger, and brings it back from pictures of the cards.
func TestDrownedComputer(t *testing.T) {
	folder := t.TempDir()
	print := func(into string) {
		command := exec.Command(graftslip(t), "print", "../../testdata/demo/session.csv", "--out", filepath.Join(folder, into),
			"--ledger", filepath.Join(folder, "ledger.db"), "--card-symbol", "record")
		out, err := command.CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
	print("before")
	lost := batchesOf(t, filepath.Join(folder, "ledger.db"))
	require.Len(t, lost, 15)
	require.NoError(t, os.Remove(filepath.Join(folder, "ledger.db")))

	arguments := []string{"import", "--until", "2026-11-25", "--ledger", filepath.Join(folder, "ledger.db")}
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	defer renderer.Close()
	cards, err := os.ReadFile(filepath.Join(folder, "before", "session-trays.pdf"))
	require.NoError(t, err)
	for page, err := range renderer.Pages(t.Context(), cards, 150) {
		require.NoError(t, err)
		picture := filepath.Join(folder, fmt.Sprintf("card%02d.png", len(arguments)))
		file, err := os.Create(picture)
		require.NoError(t, err)
		require.NoError(t, png.Encode(file, page))
		require.NoError(t, file.Close())
		arguments = append(arguments, picture)
	}
	status, stdout, stderr := slipread(t, arguments...)
	require.Zero(t, status, stderr)
	require.Contains(t, stdout, "cards read: 24, batches: 15 (new 15, known 0, extended 0)")
	require.Equal(t, lost, batchesOf(t, filepath.Join(folder, "ledger.db")))

	print("after")
	for _, name := range []string{"session-stems.pdf", "session-trays.pdf"} {
		before, err := os.ReadFile(filepath.Join(folder, "before", name))
		require.NoError(t, err)
		after, err := os.ReadFile(filepath.Join(folder, "after", name))
		require.NoError(t, err)
		require.True(t, bytes.Equal(before, after), name)
	}
}
