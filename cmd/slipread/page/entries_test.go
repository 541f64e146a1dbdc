package page_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"
)

// An entry is told to be kept, stands in the history, and can be withdrawn.
func TestEntryKeptAndWithdrawn(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	path := at(n.tray(t, 1))
	_, body := p.get(path)
	fields := form(t, body, "counts")
	fields.Set("alive", "17")
	fields.Set("dead", "1")
	fields.Set("note", "  a  dry\tcorner ")
	status, body := p.post(path+"/log", fields)
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "Entry 1 is kept.")
	require.Contains(t, body, "17 alive, 1 dead; note a dry corner")
	require.Contains(t, body, "Ida")
	require.NotContains(t, body, "data-now=\"18\"")

	_, withdraw, _ := strings.Cut(body, "Entry 1 is wrong")
	undo := form(t, `id="undo"`+withdraw, "undo")
	require.Equal(t, "1", undo.Get("corrects"))
	status, body = p.post(path+"/log", undo)
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "withdrawn by entry 2")
	require.Contains(t, body, "withdraws entry 1")
	require.NotContains(t, body, "is wrong</summary>", "what is withdrawn is not withdrawn again")

	undo.Set("key", strings.Repeat("c", 32))
	status, body = p.post(path+"/log", undo)
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "by entry 2 already")
	require.Len(t, n.entries(t), 2)
}

// A refused entry keeps what was typed, so that it need not be typed again.
func TestEntryRefusedKeepsTyped(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	for _, each := range []struct {
		reason, form string
		fields       url.Values
		status       int
		shows        []string
	}{
		{"more than the tray has", "counts", url.Values{"alive": {"19"}, "note": {"a “dry” corner <i>"}}, 422, []string{"19 alive cannot be: it has 18 stems", `value="19"`, "a “dry” corner &lt;i&gt;"}},
		{"no number", "counts", url.Values{"alive": {"x7"}, "rooted": {"4"}}, 422, []string{"is no number for alive", `value="x7"`, `value="4"`}},
		{"digits of another script", "counts", url.Values{"dead": {"１２"}}, 422, []string{"is no number for dead"}},
		{"below nothing", "counts", url.Values{"dead": {"-1"}}, 422, []string{"is no number for dead"}},
		{"a number too long for one", "counts", url.Values{"growing": {"99999999999999999999999"}}, 422, []string{"is no number for growing"}},
		{"more that grow than live", "counts", url.Values{"alive": {"3"}, "growing": {"4"}}, 422, []string{"only 3 are alive", `value="3"`, `value="4"`}},
		{"nothing said", "counts", url.Values{}, 422, []string{"the entry says nothing"}},
		{"a note beyond its length", "counts", url.Values{"note": {strings.Repeat("n", 121)}}, 422, []string{"a note has at most 120 letters", strings.Repeat("n", 120)}},
		{"how many left is not said", "left", url.Values{"left": {"sold"}}, 422, []string{"How many?"}},
		{"none left", "left", url.Values{"left": {"sold"}, "number": {"0"}}, 422, []string{"How many?"}},
		{"more left than there are", "left", url.Values{"left": {"sold"}, "number": {"40"}}, 422, []string{"40 sold cannot be", `value="40"`}},
		{"a place that there is not", "left", url.Values{"left": {"moon"}, "number": {"1"}}, 400, []string{"What was sent is no entry"}},
		{"a move that there is not", "stages", url.Values{"move": {"moon"}}, 400, []string{"What was sent is no entry"}},
		{"the state of a stem, of a tray", "counts", url.Values{"state": {"dead"}}, 400, []string{"What was sent is no entry"}},
		{"an entry that there is not", "counts", url.Values{"corrects": {"99"}}, 422, []string{"has no entry 99"}},
		{"a key that is none", "counts", url.Values{"alive": {"3"}, "key": {"KEY"}}, 400, []string{"The entry has no number of its own"}},
		{"no key", "counts", url.Values{"alive": {"3"}, "key": nil}, 400, []string{"The entry has no number of its own"}},
	} {
		_, body := p.get(at(n.tray(t, 1)))
		fields := form(t, body, each.form)
		for name, values := range each.fields {
			fields[name] = values
		}
		status, body := p.post(at(n.tray(t, 1))+"/log", fields)
		require.Equal(t, each.status, status, each.reason)
		for _, shown := range each.shows {
			require.Contains(t, body, shown, each.reason)
		}
		require.Contains(t, body, `role="alert"`, each.reason)
		tidy(t, body)
		form(t, body, "counts") // it can be sent anew
	}
	require.Empty(t, n.entries(t))
	require.Empty(t, n.troubles.all())
}

// A phone that was cut off says when it was seen, in its own zone. What is not a
// time, or still to come, is not believed.
func TestEntryTime(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	now := n.clock.now()
	for i, each := range []struct{ reason, sent, kept string }{
		{"seen yesterday, elsewhere", "2026-11-24T21:30:00+05:45", "2026-11-24T21:30:00+05:45"},
		{"yesterday there, today here", "2026-11-24T23:59:59-11:00", ""},
		{"yesterday there, and long ago enough", "2026-11-24T22:00:00-11:00", "2026-11-24T22:00:00-11:00"},
		{"a minute ahead", now.Add(time.Minute).Format(time.RFC3339), ""},
		{"years ahead", "9999-12-31T23:59:59Z", ""},
		{"just now", now.Format(time.RFC3339), now.Format(time.RFC3339)},
		{"no time", "yesterday", ""},
		{"a zone that cannot be", "2026-11-24T10:00:00+99:99", ""},
		{"not said", "", ""},
		{"very long", strings.Repeat("2026-11-24T10:00:00Z", 2000), ""},
	} {
		fields := url.Values{"key": {fmt.Sprintf("%032x", i)}, "token": {tokenOf(t, p)}, "note": {each.reason}, "at": {each.sent}}
		status, _ := p.post(at(n.stem(t, 2))+"/log", fields)
		require.Equal(t, http.StatusOK, status, each.reason)
		if each.kept == "" {
			each.kept = now.Format(time.RFC3339)
		}
		entry, is, err := n.book.Entry(t.Context(), i+1)
		require.NoError(t, err)
		require.True(t, is, each.reason)
		require.Equal(t, each.kept, entry.At.Format(time.RFC3339), each.reason)
	}
	for i, before := range []string{"2026-11-01T23:00:00Z", "0000-01-01T00:00:00Z", "2026-11-02T00:30:00+14:00"} {
		fields := url.Values{"key": {fmt.Sprintf("%032x", 100+i)}, "token": {tokenOf(t, p)}, "note": {"too early"}, "at": {before}}
		status, body := p.post(at(n.stem(t, 2))+"/log", fields)
		if before == "2026-11-02T00:30:00+14:00" { // the day of grafting, where it was seen
			require.Equal(t, http.StatusOK, status)
			continue
		}
		require.Equal(t, http.StatusUnprocessableEntity, status, before)
		require.Contains(t, body, "before the grafting", before)
	}
}

// tokenOf is the token of a phone's forms.
func tokenOf(t testing.TB, p *phone) string {
	t.Helper()
	_, body := p.get("/scan")
	token := formTokenOf(body)
	require.NotEmpty(t, token)
	return token
}

// What is sent twice is kept once; other words under its key are told.
func TestEntrySentTwice(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	path := at(n.tray(t, 1)) + "/log"
	fields := url.Values{"key": {strings.Repeat("d", 32)}, "token": {tokenOf(t, p)}, "alive": {"18"}}
	var group errgroup.Group
	var mutex sync.Mutex
	said := map[string]int{}
	for range 12 {
		group.Go(func() error {
			request, err := http.NewRequest(http.MethodPost, p.server+path, strings.NewReader(fields.Encode()))
			if err != nil {
				return err
			}
			request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			request.Header.Set("Accept", "application/json")
			answer, err := p.client.Do(request)
			if err != nil {
				return err
			}
			defer answer.Body.Close()
			var told struct {
				Entry int
				Said  string
			}
			if err := json.NewDecoder(answer.Body).Decode(&told); err != nil {
				return err
			}
			mutex.Lock()
			defer mutex.Unlock()
			said[fmt.Sprintf("%d entry %d: %s", answer.StatusCode, told.Entry, told.Said)]++
			return nil
		})
	}
	require.NoError(t, group.Wait())
	require.Equal(t, map[string]int{"200 entry 1: 18 alive": 12}, said)
	require.Len(t, n.entries(t), 1)

	for reason, other := range map[string]url.Values{
		"other words":    {"alive": {"17"}},
		"a note as well": {"alive": {"18"}, "note": {"soft"}},
	} {
		other["key"], other["token"] = fields["key"], fields["token"]
		status, body := p.post(path, other)
		require.Equal(t, http.StatusConflict, status, reason)
		require.Contains(t, body, "This was entered as entry 1 already, with other words", reason)
	}
	status, _ := p.post(at(n.tray(t, 2))+"/log", fields)
	require.Equal(t, http.StatusConflict, status, "the same words of another tray")
	require.Len(t, n.entries(t), 1)
}

// The script gets objects: the entry, or what is wrong with it.
func TestEntryForScript(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	s := n.stranger(t)
	for _, each := range []struct {
		reason string
		phone  *phone
		fields url.Values
		status int
		wants  string
	}{
		{"kept", p, url.Values{"state": {"dead"}}, 200, `{"entry":1,"said":"1 dead"}`},
		{"refused", p, url.Values{"state": {"dead"}, "alive": {"7"}, "key": {strings.Repeat("f", 32)}}, 422, `cannot be`},
		{"not let in", s, url.Values{"state": {"dead"}}, 401, `{"hint":"","problem":"This phone was not let in yet"}`},
	} {
		values := url.Values{"key": {strings.Repeat("e", 32)}, "token": {tokenOf(t, p)}}
		for name, value := range each.fields {
			values[name] = value
		}
		request, err := http.NewRequest(http.MethodPost, p.server+at(n.stem(t, 5))+"/log", strings.NewReader(values.Encode()))
		require.NoError(t, err)
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		request.Header.Set("Accept", "application/json")
		answer, err := each.phone.client.Do(request)
		require.NoError(t, err)
		require.Equal(t, "application/json", answer.Header.Get("Content-Type"), each.reason)
		status, body := each.phone.read(answer)
		require.Equal(t, each.status, status, each.reason)
		require.Contains(t, body, each.wants, each.reason)
	}
}
