package main

import (
	"context"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

// graftslip and the peer in Go print a page and a quarter, which is read back;
// other labels, and labels too many and too few, are noticed.
func TestRead(t *testing.T) {
	for _, tool := range []string{"pdftoppm", "pdftotext", "zbarimg"} {
		outside.Tool(t, tool)
	}
	ctx := context.Background()
	w, err := newWorkshop(ctx, io.Discard, 1)
	require.NoError(t, err)
	t.Cleanup(w.close)
	own, err := w.graftslip(twentyFive(t))
	require.NoError(t, err)
	command, versions, err := readyGofpdf(ctx, w)
	require.NoError(t, err)
	require.Regexp(t, `^boombuler/barcode v\S+, jung-kurt/gofpdf v\S+$`, versions)
	other, err := w.enter(peers()[0], command, twentyFive(t))
	require.NoError(t, err)

	for _, e := range []*entrant{own, other} {
		c, err := e.run(ctx)
		require.NoError(t, err)
		require.Positive(t, c.wall)
		require.Positive(t, c.processor)
		require.Greater(t, c.peak, int64(4<<20), "bytes, not kilobytes") // the fonts alone are over a megabyte
		read, err := w.read(ctx, []string{e.stems}, e.batches)
		require.NoError(t, err)
		require.Equal(t, "25 of 25", read)

		for _, wrong := range []struct {
			reason, want string
			expect       func([]batch) []batch
		}{
			{"another variety", `"Kettle" is missing on page 1`, func(b []batch) []batch { b[0].variety = "Amber Kettle"; return b }},
			{"another code", `"26012-002-0001-`, func(b []batch) []batch { b[0].code = b[1].code; return b }},
			{"a label more than printed", `"1 of 2" is missing on page 2`, func(b []batch) []batch { b[2].grafts = 2; return b }},
			{"a label less than printed", "page 2: zbar reads", func(b []batch) []batch { return b[:2] }},
			{"a page less than printed", "there are pages after the last label", func(b []batch) []batch { return b[:1] }},
		} {
			_, err = w.read(ctx, []string{e.stems}, wrong.expect(twentyFive(t)))
			require.ErrorContains(t, err, wrong.want, wrong.reason)
		}
	}

	swapped := twentyFive(t)
	swapped[1].code = swapped[0].code
	_, err = w.print(ctx, w.path("session.csv"), swapped, w.path("again"))
	require.ErrorContains(t, err, "graftslip gave batch 2 the code 26012-002-0000-82, not 26012-001-0000-12")
}

// twentyFive returns batches of 20, 4 and 1 stems: the first fills a page.
func twentyFive(t *testing.T) []batch {
	t.Helper()
	batches, err := makeBatches(300)
	require.NoError(t, err)
	batches[0].grafts, batches[1].grafts, batches[2].grafts = 20, 4, 1
	return batches[:3]
}
