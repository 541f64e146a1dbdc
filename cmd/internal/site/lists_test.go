package site_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/site"
	"graftslip/records"
)

// cardsOf are the cards of a list, each as its text and the addresses on it.
func cardsOf(t testing.TB, body string) (cards []string, links [][]string) {
	t.Helper()
	for _, part := range regexp.MustCompile(`<li(?: class="card")?><a class="card"|<li class="card">`).Split(body, -1)[1:] {
		part, _, _ = strings.Cut(part, "<h2>")
		text := shownOn(t, "<a "+strings.TrimPrefix(part, "<a "))
		cards = append(cards, strings.Join(strings.Fields(text), " "))
		var to []string
		for _, found := range regexp.MustCompile(`href="(/[0-9]{14})"`).FindAllStringSubmatch(part, -1) {
			to = append(to, found[1])
		}
		links = append(links, to)
	}
	return cards, links
}

// Trays of a batch with the same to do share a card, with a way to each; others
// have their own, in the order of the days.
func TestListsStackTrays(t *testing.T) {
	n := newNursery(t)
	issued, err := n.book.Issue(t.Context(), []records.Draft{
		{Date: sessionDay().AddDate(0, 0, -1), Variety: "Pewter Canal", Stock: "Withy Gate", Grafts: 50, TraySize: 10},
		{Date: sessionDay().AddDate(0, 0, 30), Variety: "Pewter Canal", Stock: "Withy Gate", Grafts: 50, TraySize: 10},
	}, nil)
	require.NoError(t, err)
	batch := issued[0].Batch
	var trays []string
	for number := range 5 {
		tray, err := batch.Code.Tray(number + 1)
		require.NoError(t, err)
		trays = append(trays, at(tray))
	}
	for key, counts := range map[int]records.Counts{2: {Growing: records.Said(8)}, 4: {Dead: records.Said(3)}} {
		tray, err := batch.Code.Tray(key)
		require.NoError(t, err)
		_, _, err = n.book.Log(t.Context(), records.Entry{Key: fmt.Sprintf("%032x", key), At: n.clock.now().AddDate(0, 0, -5), Unit: tray, Counts: counts})
		require.NoError(t, err)
	}
	p := n.phone(t, "Ida")
	_, body := p.get("/due")
	tidy(t, body)
	cards, links := cardsOf(t, body)
	require.Len(t, cards, 6, "%q", cards)
	require.Contains(t, cards[0], "harden off tray 2 of 5 · 10 alive 5 days late")
	require.Equal(t, trays[1:2], links[0])
	require.Contains(t, cards[1], "check for new growth 4 of 5 trays · 37 alive 3 days late")
	require.Contains(t, cards[1], "tray 1 10 alive tray 3 10 alive tray 4 7 alive tray 5 10 alive")
	require.Equal(t, []string{trays[0], trays[2], trays[3], trays[4]}, links[1])
	require.Contains(t, cards[2], "Copper Almanac", "the order of the days stays")
	require.Contains(t, cards[2], "check for new growth 2 trays · 36 alive 2 days late")
	require.Contains(t, cards[3], "tray 1 of 1 · 20 alive", "one tray is a way by itself")
	require.Contains(t, cards[5], "5 trays · 50 alive in 28 days", "the next after the week, whole")
	require.Len(t, links[5], 5)

	_, body = p.get("/bed")
	tidy(t, body)
	require.Contains(t, shownOn(t, body), "9 trays, 108 plants alive")
	cards, links = cardsOf(t, body)
	require.Len(t, cards, 5, "%q", cards)
	require.Contains(t, cards[0], "day 24 · 4 of 5 trays 37 alive leaves about")
	require.Contains(t, cards[0], "tray 4 7 alive, 3 dead")
	require.Equal(t, []string{trays[0], trays[2], trays[3], trays[4]}, links[0])
	require.Contains(t, cards[1], "day 24 · tray 2 of 5 10 alive (8 growing)", "it may leave already")
	require.Equal(t, trays[1:2], links[1])

	p = n.again(t, func(o *site.Options) { o.ReadOnly = true }).phone(t, "Guest")
	_, body = p.get("/due")
	_, again := cardsOf(t, body)
	require.Equal(t, 4, len(again[1]), "a page that only reads has the same")
}
