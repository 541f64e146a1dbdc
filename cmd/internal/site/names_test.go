package site_test

import (
	"fmt"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// A name typed for a code opens the record of its batch, or a list to choose from.
func TestPageNames(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	_, _, err := n.book.Log(t.Context(), records.Entry{Key: "1", Unit: n.tray(t, 1), Counts: records.Counts{Dead: records.Said(3)}})
	require.NoError(t, err)
	almanac, moon := at(n.batches[0].Code), at(n.batches[1].Code)
	for _, row := range []struct {
		reason, typed string
		status        int
		shows         []string
		links         []string // of the list; nil: the record itself
	}{
		{"one batch opens", "copper", 200, []string{"whole batch", "House bed 4", `id="counts"`}, nil},
		{"by words of several names, in any order", "gate bed almanac", 200, []string{"House bed 4"}, nil},
		{"several are listed with their state", "WITHY", 200,
			[]string{"2 batches", "Batches with “WITHY” in their names", "batch of 36, grafted 2026-11-02", "under mist · 33 alive"}, []string{almanac, moon}},
		{"one with a wrong letter is listed too: it may be another", "cooper", 200, []string{"No batch has “cooper” in its names. These are similar"}, []string{almanac}},
		{"names with markup", "<b>bold</b>", 200, []string{"&lt;b&gt;Bold&lt;/b&gt;"}, nil},
		{"markup that no name has", "<script>", 200, []string{"&lt;script&gt;alert"}, nil},
		{"nothing near", "xylophone", 404, []string{"No batch has “xylophone” in its names", "Type a part of a variety"}, []string{}},
		{"a name that is near is offered", "Tellaw Moom", 404, []string{"Did you mean", `href="/scan?code=Tallow%20Moon"`}, []string{}},
		{"a number that no name has", "12", 404, []string{"No batch has “12” in its names"}, []string{}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			status, body := p.get("/scan?code=" + url.QueryEscape(row.typed))
			require.Equal(t, row.status, status)
			for _, shown := range row.shows {
				require.Contains(t, body+shownOn(t, body), shown)
			}
			tidy(t, body)
			if row.links != nil {
				_, links := cardsOf(t, body)
				var all []string
				for _, each := range links {
					all = append(all, each...)
				}
				require.ElementsMatch(t, row.links, all)
			}
		})
	}
	require.Empty(t, n.troubles.all())
}

// Searches see every change: names are kept only while the ledger is unchanged.
func TestPageNamesAreOfNow(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	for number := range 3 {
		status, _ := p.get("/scan?code=pewter")
		require.Equal(t, map[bool]int{true: 404, false: 200}[number == 0], status)
		_, err := n.book.Issue(t.Context(), []records.Draft{{Date: sessionDay(), Variety: fmt.Sprintf("Pewter Canal %d", number), Stock: "Withy Gate", Grafts: 5}}, nil)
		require.NoError(t, err)
	}
	_, body := p.get("/scan?code=pewter")
	require.Contains(t, shownOn(t, body), "3 batches")
}
