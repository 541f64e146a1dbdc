package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/records/lookup"
	"graftslip/testdata/long"
	"graftslip/testdata/outside"
)

// previews prints rows of the demo with each symbol, with codes or as a preview, and returns
// the files of a pattern.
func previews(t *testing.T, pattern string, options ...string) (files []string) {
	t.Helper()
	kinds := [][]string{{"code128", "code"}, {"qr", "record"}, {"datamatrix", "code"}}
	for _, symbols := range kinds[:long.Cases(1, len(kinds))] {
		folder := t.TempDir()
		arguments := append([]string{"print", filepath.Join("..", "..", "testdata", "demo", "session.csv"), "--rows", "2,3",
			"--out", folder, "--ledger", filepath.Join(folder, "book.db"), "--symbol", symbols[0], "--card-symbol", symbols[1],
			"--stems", "letter-2x10", "--stem", "6mm"}, options...)
		var stdout, stderr bytes.Buffer
		clock := func() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) }
		require.Zero(t, program{now: clock}.run(t.Context(), arguments, nil, &stdout, &stderr), stderr.String())
		made, err := filepath.Glob(filepath.Join(folder, pattern))
		require.NoError(t, err)
		files = append(files, made...)
	}
	return files
}

// read is what the reader of this project reads of files.
func read(t *testing.T, files []string) (texts []string) {
	t.Helper()
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	defer renderer.Close()
	for _, name := range files {
		file, err := os.Open(name)
		require.NoError(t, err)
		for view, err := range renderer.File(t.Context(), file, lookup.IsCode) {
			require.NoError(t, err)
			for _, found := range view.Found {
				texts = append(texts, found.Text)
			}
			if view.Page == 1 {
				break // of what has codes the first sheet will do
			}
		}
		require.NoError(t, file.Close())
	}
	return texts
}

// No symbol of a preview can be read; those of the print can.
func TestPreviewHasNoCode(t *testing.T) {
	pictures := previews(t, "*.png", "--preview", "--outlines")
	require.NotEmpty(t, pictures)
	require.Empty(t, read(t, pictures))
	require.Greater(t, len(read(t, previews(t, "*.pdf"))), 20)
}

func TestPreviewOutside(t *testing.T) {
	pictures := previews(t, "*.png", "--preview", "--outlines")
	for _, reader := range []struct {
		name, found string
		options     []string
	}{
		{"zbarimg", "", []string{"--quiet", "--raw"}},
		{"dmtxread", "", []string{"-n", "-N1", "-m1000"}},
		{"ZXingReader", "Text:", nil},
	} {
		t.Run(reader.name, func(t *testing.T) {
			program := outside.Tool(t, reader.name)
			for _, picture := range pictures {
				out, _ := exec.Command(program, append(reader.options, picture)...).Output() // it fails where it finds nothing
				if reader.found == "" {
					require.Empty(t, string(out), picture)
				}
				require.NotContains(t, string(out)+" ", "Text:", picture)
			}
		})
	}
}
