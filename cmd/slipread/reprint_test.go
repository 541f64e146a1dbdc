package main

import (
	"context"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// tagDPI is the resolution at which pages with a tag are drawn.
const tagDPI = 300

// tagBatch is a batch of 60 stems in two trays, of a ledger if one is named.
func tagBatch(t *testing.T, path string) records.Batch {
	t.Helper()
	draft := records.Draft{
		Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Variety: "Paper Lighthouse", Stock: "Anchor", Grafts: 60, TraySize: 30,
		Source: "House bed 2", Stem: 7, Wrap: layouts.Loop, Note: "two eyes"}
	if path == "" {
		code, err := codes.New(draft.Date, 1)
		require.NoError(t, err)
		return records.Batch{Code: code, Draft: draft}
	}
	book, err := ledger.Open(t.Context(), path)
	require.NoError(t, err)
	defer book.Close()
	issued, err := book.Issue(t.Context(), []records.Draft{draft}, nil)
	require.NoError(t, err)
	return issued[0].Batch
}

// codesOf are a batch's code of each kind: that of a stem, a tray, and its own.
func codesOf(t *testing.T, batch records.Batch) (stem, tray, spare codes.Code) {
	t.Helper()
	stem, err := batch.Code.Stem(17)
	require.NoError(t, err)
	tray, err = batch.Code.Tray(2)
	require.NoError(t, err)
	return stem, tray, batch.Code
}

// makerOf is a maker with flags from a command line.
func makerOf(t *testing.T, args ...string) reprinter {
	t.Helper()
	flags := command.NewPrintFlags()
	set := pflag.NewFlagSet("tags", pflag.ContinueOnError)
	flags.Register(set)
	require.NoError(t, set.Parse(args))
	maker, err := newReprinter(flags)
	require.NoError(t, err)
	return maker
}

// drawTag returns the only page of a PDF.
func drawTag(t *testing.T, renderer *scan.Renderer, pdf []byte) *image.Gray {
	t.Helper()
	var pages []*image.Gray
	for page, err := range renderer.Pages(t.Context(), pdf, tagDPI) {
		require.NoError(t, err)
		pages = append(pages, page)
	}
	require.Len(t, pages, 1)
	return pages[0]
}

// readTag returns the only symbol on the page of a PDF, and its corners in mm.
func readTag(t *testing.T, renderer *scan.Renderer, pdf []byte) (text string, corners [4]scan.Point) {
	t.Helper()
	found, err := scan.Picture(t.Context(), drawTag(t, renderer, pdf), nil)
	require.NoError(t, err)
	require.Len(t, found, 1)
	for i, corner := range found[0].Corners {
		corners[i] = scan.Point{X: corner.X * layouts.MillimetresPerInch / tagDPI, Y: corner.Y * layouts.MillimetresPerInch / tagDPI}
	}
	return found[0].Text, corners
}

func pageRenderer(t *testing.T) *scan.Renderer {
	t.Helper()
	renderer, err := scan.NewRenderer(context.Background())
	require.NoError(t, err)
	t.Cleanup(func() { _ = renderer.Close() })
	return renderer
}

// The slip of every kind of code lies at its place, alone on its sheet.
func TestTag(t *testing.T) {
	renderer := pageRenderer(t)
	batch := tagBatch(t, "")
	stem, tray, spare := codesOf(t, batch)
	for _, test := range []struct {
		code   codes.Code
		args   []string
		place  int
		stock  string
		name   string
		reason string
	}{
		{stem, nil, 1, "letter-2x10", "reprint-26329-001-stem-17.pdf", "a stem at the first place"},
		{stem, nil, 20, "letter-2x10", "reprint-26329-001-stem-17.pdf", "a stem at the last place"},
		{stem, []string{"--stems", "letter-3x10", "--label-wrap", "flag"}, 5, "letter-3x10", "reprint-26329-001-stem-17.pdf", "a stem in the middle of the second row"},
		{stem, []string{"--stems", "strip-25x200"}, 1, "strip-25x200", "reprint-26329-001-stem-17.pdf", "a stem on a roll"},
		{tray, nil, 3, "letter-2x2", "reprint-26329-001-tray-2.pdf", "a tray"},
		{tray, []string{"--trays", "card-4x6in", "--stems", "letter-3x10"}, 1, "card-4x6in", "reprint-26329-001-tray-2.pdf", "a tray on a card"},
		{spare, nil, 8, "letter-2x10", "reprint-26329-001-spare.pdf", "a spare label"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			stock, err := layouts.Lookup(test.stock)
			require.NoError(t, err)
			maker := makerOf(t, test.args...)
			require.Equal(t, stock.Count(), maker.Positions(test.code))
			name, pdf, err := maker.Reprint(t.Context(), records.Record{Batch: batch, Code: test.code}, test.place)
			require.NoError(t, err)
			require.Equal(t, test.name, name)
			text, corners := readTag(t, renderer, pdf)
			require.Equal(t, test.code.Compact(), text)
			label := stock.Position(test.place - 1).Rect
			for _, corner := range corners {
				require.True(t, label.Contains(layouts.Rect{X: corner.X, Y: corner.Y}), "%v is not on the label, %v", corner, label)
			}
		})
	}
}

// What a card's symbol says follows the flags.
func TestTagOfLink(t *testing.T) {
	batch := tagBatch(t, "")
	_, tray, _ := codesOf(t, batch)
	maker := makerOf(t, "--card-symbol", "link", "--link", "http://10.0.0.7:8417")
	_, pdf, err := maker.Reprint(t.Context(), records.Record{Batch: batch, Code: tray}, 1)
	require.NoError(t, err)
	text, _ := readTag(t, pageRenderer(t), pdf)
	require.Equal(t, "HTTP://10.0.0.7:8417/"+tray.Compact(), text, "in capitals, which need fewer modules")
}

// The correction of a printer moves a tag as it moves the same place on paper.
func TestTagCorrected(t *testing.T) {
	const exact = 0.1 // mm: a symbol begins on a dot, which is 0.085 mm
	renderer := pageRenderer(t)
	batch := tagBatch(t, "")
	stem, tray, spare := codesOf(t, batch)
	for _, test := range []struct {
		code       codes.Code
		place      int
		correction layouts.Correction
		args       []string
		reason     string
	}{
		{stem, 9, layouts.Correction{ShiftX: 1.5, ShiftY: -2}, []string{"--shift", "1.5mm,-2mm"}, "shift"},
		{tray, 2, layouts.Correction{ShiftX: -1, ShiftY: 2}, []string{"--shift", "-1mm,2mm"}, "shift of a card"},
		{spare, 19, layouts.Correction{ScaleX: 1.01, ScaleY: 0.98}, []string{"--scale", "1.01,0.98"}, "scale"},
		{stem, 19, layouts.Correction{ShiftX: 0.5, ShiftY: 1, ScaleX: 0.99, ScaleY: 0.99}, []string{"--shift", "0.5mm,1mm", "--scale", "0.99"}, "both"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			record := records.Record{Batch: batch, Code: test.code}
			_, plain, err := makerOf(t).Reprint(t.Context(), record, test.place)
			require.NoError(t, err)
			_, corrected, err := makerOf(t, test.args...).Reprint(t.Context(), record, test.place)
			require.NoError(t, err)
			_, was := readTag(t, renderer, plain)
			text, is := readTag(t, renderer, corrected)
			require.Equal(t, test.code.Compact(), text)
			// The middle of it: a module keeps its size, whole dots.
			x, y := test.correction.Point((was[0].X+was[2].X)/2, (was[0].Y+was[2].Y)/2)
			require.InDelta(t, x, (is[0].X+is[2].X)/2, exact)
			require.InDelta(t, y, (is[0].Y+is[2].Y)/2, exact)
		})
	}
	_, _, err := makerOf(t, "--shift", "-20mm,0mm").Reprint(t.Context(), records.Record{Batch: batch, Code: tray}, 1)
	require.ErrorContains(t, err, "shift and scale bring print over the left edge of the paper", "print that would be lost")
}

// A tag is, dot for dot, what graftslip reprint puts on the same place.
func TestTagAsReprinted(t *testing.T) {
	folder := t.TempDir()
	book := filepath.Join(folder, "book.db")
	renderer := pageRenderer(t)
	batch := tagBatch(t, book)
	stem, tray, spare := codesOf(t, batch)
	flags := []string{"--stems", "a4-3x8", "--symbol", "datamatrix", "--nursery", "Sundial Grafts", "--date-form", "week", "--dpi", "600", "--shift", "0.7mm,-0.4mm", "--scale", "0.998"}
	for _, test := range []struct {
		code   codes.Code
		place  int
		start  string
		kind   string
		reason string
	}{
		{stem, 11, "--start", "stems", "stem"},
		{tray, 4, "--start-trays", "trays", "tray"},
		{spare, 24, "--start", "stems", "spare"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			into := filepath.Join(folder, test.reason)
			arguments := append([]string{"reprint", test.code.String(), "--ledger", book, "--out", into, test.start, strconv.Itoa(test.place)}, flags...)
			out, err := exec.Command(graftslip(t), arguments...).CombinedOutput()
			require.NoError(t, err, "%s", out)
			reprinted, err := os.ReadFile(filepath.Join(into, "reprint-26329-001-"+test.kind+".pdf"))
			require.NoError(t, err)
			_, pdf, err := makerOf(t, flags...).Reprint(t.Context(), records.Record{Batch: batch, Code: test.code}, test.place)
			require.NoError(t, err)
			require.Equal(t, drawTag(t, renderer, reprinted).Pix, drawTag(t, renderer, pdf).Pix)
		})
	}
}

func TestTagRefused(t *testing.T) {
	batch := tagBatch(t, "")
	stem, _, _ := codesOf(t, batch)
	long := batch
	long.Stem = 60
	_, _, err := makerOf(t).Reprint(t.Context(), records.Record{Batch: long, Code: stem}, 1)
	require.ErrorContains(t, err, stem.String()+": ", "a label that does not go round the stem")

	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, _, err = makerOf(t).Reprint(stopped, records.Record{Batch: batch, Code: stem}, 1)
	require.ErrorIs(t, err, context.Canceled, "nobody waits for it any more")

	flags := command.NewPrintFlags()
	flags.Font = "none.ttf"
	_, err = newReprinter(flags)
	require.ErrorContains(t, err, "cannot read the font", "a font that is not there")
	flags = command.NewPrintFlags()
	flags.Stem = 0
	_, err = newReprinter(flags)
	require.ErrorContains(t, err, "--stem must be from", "a stem that is none")
}
