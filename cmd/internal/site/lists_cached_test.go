package site_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/records"
	"graftslip/records/ledger"
)

// Lists are kept in memory, and never tell of what is past: neither after an entry
// of a phone nor after one of another program.
func TestListsAreOfNow(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	program, err := ledger.OpenExisting(t.Context(), n.book.Path(), ledger.WithClock(n.clock.now))
	require.NoError(t, err)
	defer func() { require.NoError(t, program.Close()) }()
	for dead := 1; dead < 9; dead++ {
		by := []*ledger.Ledger{n.book, program}[dead%2]
		_, _, err := by.Log(t.Context(), records.Entry{Key: fmt.Sprint(dead), Unit: n.tray(t, 1), Counts: records.Counts{Dead: records.Said(dead)}})
		require.NoError(t, err)
		for _, path := range []string{"/due", "/bed", "/due"} {
			_, body := p.get(path)
			require.Contains(t, shownOn(t, body), fmt.Sprintf("%d alive", 18-dead), path)
		}
	}
	var group errgroup.Group
	for i := range 8 {
		group.Go(func() error {
			if i == 0 {
				_, _, err := program.Log(t.Context(), records.Entry{Key: "x", Unit: n.tray(t, 2), Note: "damp"})
				return err
			}
			p.get([]string{"/due", "/bed"}[i%2])
			return nil
		})
	}
	require.NoError(t, group.Wait())
	n.clock.set(n.clock.now().AddDate(0, 0, 1))
	_, body := p.get("/due")
	require.Contains(t, shownOn(t, body), "3 days late", "what is due is of today")
	require.Empty(t, n.troubles.all())
}

// BenchmarkDue opens the list of what is due of 2,000 batches, where nothing was
// entered since, and after an entry.
func BenchmarkDue(b *testing.B) {
	n := newNursery(b)
	drafts := make([]records.Draft, 2000)
	for i := range drafts {
		drafts[i] = records.Draft{Date: sessionDay().AddDate(0, 0, -i%20), Variety: fmt.Sprint("Tin Ferry ", i), Stock: "Withy Gate", Grafts: 40, TraySize: 20}
	}
	_, err := n.book.Issue(b.Context(), drafts, nil)
	require.NoError(b, err)
	p := n.phone(b, "Ida")
	for _, changed := range []bool{false, true} {
		b.Run(fmt.Sprintf("changed %v", changed), func(b *testing.B) {
			for b.Loop() {
				if changed {
					_, _, err := n.book.Log(b.Context(), records.Entry{Key: fmt.Sprint(time.Now().UnixNano()), Unit: n.batches[1].Code, Note: "x"})
					require.NoError(b, err)
				}
				p.get("/due")
			}
		})
	}
}
