package pdf_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/testdata/outside"
)

// The sheet of a session as others read it: poppler finds every batch and every
// caution, the pages are of the paper, and qpdf finds no fault.
func TestSessionOutside(t *testing.T) {
	poppler, info, qpdf := outside.Tool(t, "pdftotext"), outside.Tool(t, "pdfinfo"), outside.Tool(t, "qpdf")
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	stock, err := layouts.Lookup("a4-5x13")
	require.NoError(t, err)
	day := time.Date(2027, time.January, 12, 0, 0, 0, 0, time.UTC)
	session := labels.Session{Date: day}
	for i := range 30 {
		session.Batches = append(session.Batches, labels.SessionBatch{Wood: 2, Draft: records.Draft{
			Row: i + 2, Date: day, Variety: fmt.Sprintf("Čistý Půlměsíc %d", i), Stock: "Σκιά του Λόφου", Grafts: 40 + i, TraySize: 20,
		}})
	}
	for _, row := range []struct {
		paper layouts.Paper
		size  string // as pdfinfo writes it
	}{{layouts.A4, "(A4)"}, {layouts.Letter, "(letter)"}} {
		o := labels.SessionOptions{Options: labels.Options{Face: face, Stock: stock}, Paper: row.paper, Trays: stock}
		pages, err := labels.DesignSession(session, o)
		require.NoError(t, err)
		require.Greater(t, len(pages), 1)
		document := pdf.Document{Title: "Grafting sessions test", Language: labels.Language, Date: day, Face: face, Setup: labels.Setup{Stock: labels.SessionStock(row.paper), DPI: 300}}
		var first, second bytes.Buffer
		for _, out := range []*bytes.Buffer{&first, &second} {
			count, err := pdf.Write(out, document, func(yield func(labels.Design, error) bool) {
				for _, page := range pages {
					if !yield(page, nil) {
						return
					}
				}
			})
			require.NoError(t, err)
			require.Equal(t, len(pages), count, "a page for each")
		}
		require.Equal(t, first.Bytes(), second.Bytes(), "the same bytes each time")
		file := filepath.Join(t.TempDir(), "session.pdf")
		require.NoError(t, os.WriteFile(file, first.Bytes(), 0o600))
		run := func(tool string, args ...string) string {
			out, err := exec.Command(tool, args...).CombinedOutput()
			require.NoError(t, err, "%s", out)
			return strings.Join(strings.Fields(string(out)), " ") // which takes no-break spaces for spaces
		}
		require.NotContains(t, run(qpdf, "--check", file), "WARNING")
		require.Contains(t, run(info, file), row.size)
		text := run(poppler, file, "-")
		for _, b := range session.Batches {
			require.Contains(t, text, "‘"+b.Variety+"’")
		}
		require.Contains(t, text, "On ‘Σκιά του Λόφου’, continued", "a list too long for the page goes on")
		for _, caution := range []string{labels.KnifeCaution, labels.CompoundCaution, labels.GirdlingCaution, labels.MainsCaution, labels.ProtectedCaution, labels.LeavingCaution} {
			require.Contains(t, text, caution)
		}
	}
}
