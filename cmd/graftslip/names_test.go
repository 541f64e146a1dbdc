package main

import (
	"context"
	"encoding/csv"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/testdata/outside"
)

// Poppler's text of the demo's labels and cards has each variety and rootstock
// exactly, as often as it was printed. A name that is broken into two lines has
// a line end for its space. qpdf finds nothing wrong with the files.
func TestNamesReadBack(t *testing.T) {
	poppler, qpdf := outside.Tool(t, "pdftotext"), outside.Tool(t, "qpdf")
	folder := t.TempDir()
	demo := filepath.Join("..", "..", "testdata", "demo", "session.csv")
	status := program{now: time.Now}.run(context.Background(), []string{"print", demo, "--out", folder, "--ledger", filepath.Join(folder, "book.db")}, nil, io.Discard, os.Stderr)
	require.Zero(t, status)

	file, err := os.Open(demo)
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(rows), 15)
	for _, name := range []string{"session-stems.pdf", "session-trays.pdf"} {
		path := filepath.Join(folder, name)
		out, err := exec.Command(poppler, "-raw", "-enc", "UTF-8", path, "-").Output()
		require.NoError(t, err)
		text := strings.Join(strings.Fields(string(out)), " ")
		for _, row := range rows[1:] {
			variety := records.Quoted(strings.Trim(row[1], `"`))
			require.Contains(t, text, variety+" / "+records.Quoted(row[2]), name)
		}
		checked, err := exec.Command(qpdf, "--check", path).CombinedOutput()
		require.NoError(t, err, "%s", checked)
		require.Contains(t, string(checked), "No syntax or stream encoding errors found")

		info, err := exec.Command(outside.Tool(t, "pdfinfo"), path).Output()
		require.NoError(t, err)
		require.Regexp(t, `Title: +(Stem labels|Tray cards) session`, string(info))
		require.Regexp(t, `Author: +graftslip`, string(info))
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Contains(t, string(content), "/Lang (en)")
	}
}
