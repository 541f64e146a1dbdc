package main

import (
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/cmd/slipread/internal/mark"
	"graftslip/codes/scan"
	"graftslip/records/ledger"
)

// A tag has the code and what it stands on, then the pair, or that the code is
// not in the ledger.
func TestSigns(t *testing.T) {
	pair := caption{pair: "‘Paper Lighthouse’ / ‘Anchor’"}
	view := lookedAt(0)
	view.Missed = view.Missed[:1]
	for _, test := range []struct {
		text   string
		said   caption
		want   []string
		kind   mark.Kind
		reason string
	}{
		{"26330001001713", pair, []string{"26330-001-0017-13   stem 17", "‘Paper Lighthouse’ / ‘Anchor’"}, mark.Read, "a stem"},
		{"26330001900127", pair, []string{"26330-001-9001-27   tray 1", "‘Paper Lighthouse’ / ‘Anchor’"}, mark.Read, "a tray"},
		{"26330001000064", pair, []string{"26330-001-0000-64   batch", "‘Paper Lighthouse’ / ‘Anchor’"}, mark.Read, "a spare label"},
		{"26330001001713", caption{pair: strings.Repeat("long ", 9)}, []string{"26330-001-0017-13   stem 17"}, mark.Read, "a long pair"},
		{"26330001001713", caption{notInLedger: true}, []string{"26330-001-0017-13   not in the ledger", "stem 17"}, mark.NotInLedger, "not in the ledger"},
		{"26330001001713", caption{pair: pair.pair, void: true}, []string{"26330-001-0017-13   void, stem 17", "‘Paper Lighthouse’ / ‘Anchor’"}, mark.Read, "a void batch"},
		{"a gate", caption{}, []string{"a gate"}, mark.Read, "no code"},
	} {
		view.Found = []scan.Found{{Text: test.text, Symbol: scan.QR}}
		all := signs(view, []caption{test.said})
		require.Len(t, all, 2, test.reason)
		require.Equal(t, test.want, all[0].Lines, test.reason)
		require.Equal(t, test.kind, all[0].Kind, test.reason)
		require.Equal(t, mark.Missed, all[1].Kind, test.reason)
	}

	// Of what was read, only what the ledger does not know is marked so.
	b := newBench(t)
	book, err := ledger.OpenExisting(t.Context(), b.book)
	require.NoError(t, err)
	defer book.Close()
	l := &job{book: book, out: printer{stdout: io.Discard, stderr: io.Discard}}
	for _, test := range []struct {
		text, reason string
		want         caption
	}{
		{"26330001000161", "in the ledger", pair},
		{"26330001001713", "no such stem", caption{notInLedger: true}},
		{"26330-002-9001-97 Tin Drummer / Anchor; 2 grafts; tray 1 of 1: stems 1-2", "a card of another ledger", caption{notInLedger: true}},
		{"26330-001-9001-27 Tin Drummer / Anchor; 3 grafts; tray 1 of 1: stems 1-3", "a card that differs", caption{}},
		{"a gate", "no code", caption{}},
	} {
		said, err := l.text(t.Context(), test.text, origin{})
		if test.reason == "in the ledger" {
			require.NoError(t, err)
		} else {
			require.ErrorIs(t, err, command.ErrReported, test.reason)
		}
		require.Equal(t, test.want, said, test.reason)
	}
}

// Marked pictures have the numbers of the files and pages, and one alone has
// none; a file that already exists is replaced.
func TestMarkedNames(t *testing.T) {
	whole, broken := lookedAt(0), scan.View{Page: 2}
	for _, test := range []struct {
		views  []scan.View
		files  int
		want   []string
		reason string
	}{
		{[]scan.View{whole}, 1, []string{"out.png"}, "a picture alone"},
		{[]scan.View{whole}, 2, []string{"out-1.png", "out-2.png"}, "two pictures"},
		{[]scan.View{lookedAt(1), lookedAt(2), lookedAt(3)}, 1, []string{"out-1.png", "out-2.png", "out-3.png"}, "pages"},
		{[]scan.View{lookedAt(1), broken, lookedAt(3)}, 1, []string{"out-1.png", "out-3.png"}, "a page that cannot be drawn keeps its number"},
		{[]scan.View{{Page: 1}, lookedAt(2)}, 1, []string{"out-2.png"}, "so does the first"},
		{[]scan.View{{}}, 1, nil, "nothing to draw on"},
	} {
		b := newBench(t)
		folder := filepath.Join(b.folder, "seen")
		require.NoError(t, os.Mkdir(folder, 0o777))
		args := []string{"--mark", filepath.Join(folder, "out.png")}
		for range test.files {
			args = append(args, b.picture)
		}
		for range 2 {
			b.run(t.Context(), seenFiles{views: test.views}, args...)
			found, err := filepath.Glob(filepath.Join(folder, "*"))
			require.NoError(t, err)
			require.Len(t, found, len(test.want), test.reason)
			for _, name := range test.want {
				file, err := os.Open(filepath.Join(folder, name))
				require.NoError(t, err, test.reason)
				picture, err := png.Decode(file)
				require.NoError(t, err, test.reason)
				require.NoError(t, file.Close())
				require.Equal(t, whole.Picture.Bounds(), picture.Bounds(), test.reason)
			}
		}
	}
}
