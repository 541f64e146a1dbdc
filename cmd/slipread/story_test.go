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

	"graftslip/codes"
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
	maker := filepath.Join(folder, "graftslip")
	out, err := exec.Command("go", "build", "-o", maker, "graftslip/cmd/graftslip").CombinedOutput()
	require.NoError(t, err, "%s", out)
	print := func(into string) {
		command := exec.Command(maker, "print", "../../testdata/demo/session.csv", "--out", filepath.Join(folder, into),
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

// BenchmarkRepair repairs codes against a ledger of a million batches: 1,002
// days of 999. Each is the worst of its kind: every way is tried, and no code
// of the ledger fits, or the one that does comes last.
func BenchmarkRepair(b *testing.B) {
	path := filepath.Join(b.TempDir(), "ledger.db")
	book, err := ledger.Open(context.Background(), path)
	require.NoError(b, err)
	defer book.Close()
	first := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	for day := range 1002 {
		drafts := make([]records.Draft, codes.MaxBatch)
		for i := range drafts {
			drafts[i] = records.Draft{Date: first.AddDate(0, 0, day), Variety: fmt.Sprintf("Seedling %d", i), Stock: "Fen Hedge", Grafts: 60, TraySize: 30}
		}
		_, err := book.Issue(context.Background(), drafts, nil)
		require.NoError(b, err)
	}
	for _, kind := range []struct{ name, read string }{
		{"one unknown digit", "25329-004-0017-?5"},
		{"four unknown digits of the unit", "25329-004-????-63"},
		{"four unknown digits of the date", "2????-004-0017-63"},
		{"three unknown digits and one fault", "2??29-0?4-7017-63"},
		{"one unknown digit and two faults", "2?329-004-7777-63"},
		{"two wrong digits", "25329-004-7777-63"},
		{"two digits missing", "25329-7777-63"},
		{"nothing fits", "7?777-777-7777-77"},
	} {
		l := &lookup{book: book}
		b.Run(kind.name, func(b *testing.B) {
			found := 0
			for b.Loop() {
				candidates, err := l.candidates(context.Background(), kind.read)
				if err != nil {
					b.Fatal(err)
				}
				found = len(candidates)
			}
			b.ReportMetric(float64(found), "candidates")
		})
	}
}
