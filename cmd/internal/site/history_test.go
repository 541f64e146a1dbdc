package site_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// A long history shows its latest entries, and all when it is asked for; its line
// has one mark for a day and counts every entry.
func TestHistoryIsCut(t *testing.T) {
	n := newNursery(t)
	log := func(count int) {
		for i := range count {
			number := len(n.entries(t)) + 1
			_, _, err := n.book.Log(t.Context(), records.Entry{Key: fmt.Sprint(number), Unit: n.stem(t, 4), At: sessionDay().AddDate(0, 0, number/4+1).Add(60_000_000_000 * 60),
				Note: fmt.Sprintf("look %d", number)})
			require.NoError(t, err, i)
		}
	}
	p := n.phone(t, "Ida")
	shows := func(path string, entries, marks, left int, words string) string {
		t.Helper()
		_, body := p.get(path)
		tidy(t, body)
		require.Equal(t, entries, strings.Count(body, "<p>note look "))
		require.Equal(t, marks, strings.Count(body, `class="entry"`))
		require.Contains(t, body, words)
		require.Equal(t, left > 0, strings.Contains(body, fmt.Sprintf(`href="%s?all#history">Show all (%d more)</a>`, at(n.stem(t, 4)), left)), body)
		return body
	}
	stem := at(n.stem(t, 4))
	shows(stem, 0, 0, 0, "since grafting, 0 entries")
	log(1)
	shows(stem, 1, 1, 0, "since grafting, 1 entry")
	log(29)
	shows(stem, 30, 8, 0, "since grafting, 30 entries")
	log(12)
	body := shows(stem, 30, 11, 12, "since grafting, 42 entries")
	require.Contains(t, body, "look 13<")
	require.NotContains(t, body, "look 12<")
	require.Less(t, strings.Index(body, "look 42<"), strings.Index(body, "look 41<"), "the latest first")
	body = shows(stem+"?all", 42, 11, 0, "since grafting, 42 entries")
	require.Less(t, strings.Index(body, "look 2<"), strings.Index(body, "look 1<"))
}
