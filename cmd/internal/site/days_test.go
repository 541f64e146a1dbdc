package site_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// What was seen on another day is kept at noon of it, where the computer is. A
// day that is refused stands in its form again.
func TestEntryOfAnotherDay(t *testing.T) {
	n := newNursery(t)
	zone := time.FixedZone("", 13*60*60)
	n.clock.set(time.Date(2026, 11, 25, 1, 30, 0, 0, zone)) // yesterday still, by UTC
	p := n.phone(t, "Ida")
	path := at(n.tray(t, 1))
	_, body := p.get(path)
	for _, id := range []string{"counts-day", "stages-day", "left-day"} {
		require.Contains(t, body, `id="`+id+`" name="day" type="date" value="" min="2026-11-02" max="2026-11-25"`)
	}
	for i, each := range []struct {
		reason, form, day string
		fields            url.Values
		kept, problem     string
	}{
		{"the day of grafting", "counts", "2026-11-02", url.Values{"alive": {"18"}}, "2026-11-02T12:00:00+13:00", ""},
		{"with what a phone says of its time", "counts", "2026-11-23", url.Values{"dead": {"1"}, "ago": {"4800"}}, "2026-11-23T12:00:00+13:00", ""},
		{"a move", "stages", "2026-11-24", url.Values{"move": {"out-of-mist"}}, "2026-11-24T12:00:00+13:00", ""},
		{"today, with how long it waited", "counts", "2026-11-25", url.Values{"note": {"soft"}, "ago": {"4800"}}, "2026-11-25T00:10:00+13:00", ""},
		{"today, though it waited longer", "counts", "2026-11-25", url.Values{"note": {"damp"}, "ago": {"5401"}}, "2026-11-25T01:30:00+13:00", ""},
		{"today is now", "left", "2026-11-25", url.Values{"left": {"sold"}, "number": {"2"}}, "2026-11-25T01:30:00+13:00", ""},
		{"no day", "counts", " ", url.Values{"note": {"dry"}}, "2026-11-25T01:30:00+13:00", ""},
		{"tomorrow", "left", "2026-11-26", url.Values{"left": {"sold"}, "number": {"1"}}, "", "2026-11-26 is in the future"},
		{"before grafting", "stages", "2026-11-01", url.Values{"move": {"unwrapped"}}, "", "2026-11-01 is before grafting"},
		{"no day of a calendar", "counts", "2026-11-31", url.Values{"alive": {"3"}}, "", "“2026-11-31” is not a date"},
		{"words", "counts", "last Friday", url.Values{"alive": {"3"}}, "", "“last Friday” is not a date"},
		{"a day with a count that cannot be", "counts", "2026-11-20", url.Values{"alive": {"19"}}, "", "19 alive is more than the"},
	} {
		fields := url.Values{"token": {tokenOf(t, p)}, "key": {fmt.Sprintf("%032x", i)}, "day": {each.day}}
		for name, values := range each.fields {
			fields[name] = values
		}
		status, body := p.post(path+"/log", fields)
		tidy(t, body)
		if each.problem != "" {
			require.Equal(t, http.StatusUnprocessableEntity, status, each.reason)
			require.Contains(t, shownOn(t, body), each.problem, each.reason)
			require.Contains(t, body, fmt.Sprintf(`id="%s-day" name="day" type="date" value="%.10s"`, each.form, each.day), each.reason)
			require.Equal(t, 1, strings.Count(body, "<details open>"), "%s: its field is seen, and no other", each.reason)
			continue
		}
		require.Equal(t, http.StatusOK, status, "%s: %s", each.reason, body)
		entry, is, err := n.book.Entry(t.Context(), i+1)
		require.NoError(t, err)
		require.True(t, is, each.reason)
		require.Equal(t, each.kept, entry.At.Format(time.RFC3339), each.reason)
	}
	require.Len(t, n.entries(t), 7)
	require.Empty(t, n.troubles.all())
}

// Phones break lines at hyphens, so dates stand in a piece of their own, also in
// the midst of a text.
func TestDatesInOnePiece(t *testing.T) {
	n := newNursery(t)
	_, _, err := n.book.Log(t.Context(), records.Entry{Key: "a", At: n.clock.now(), Unit: n.tray(t, 1), Counts: records.Counts{Growing: records.Said(0)}, Note: "<i>2026-11-09</i>"})
	require.NoError(t, err)
	p := n.phone(t, "Ida")
	for _, path := range []string{at(n.tray(t, 1)), at(n.batches[0].Code), "/due", "/bed", "/26306077000000"} {
		_, body := p.get(path)
		_, main, _ := strings.Cut(body, "<main")
		for _, aside := range []string{`value="2026-11-02"`, `min="2026-11-02"`, `max="2026-11-25"`} {
			main = strings.ReplaceAll(main, aside, "")
		}
		dates, whole := strings.Count(main, "2026-11-")+strings.Count(main, "2026-12-"), strings.Count(main, `<span class="date">2026-1`)
		require.Equal(t, whole, dates, path)
		if path != "/26306077000000" {
			require.NotZero(t, dates, path)
		}
		tidy(t, body)
	}
	_, body := p.get(at(n.tray(t, 1)))
	require.Contains(t, body, `note &lt;i&gt;<span class="date">2026-11-09</span>&lt;/i&gt;`)
	require.Contains(t, body, `no new growth on <span class="date">2026-11-25</span>`)
}
