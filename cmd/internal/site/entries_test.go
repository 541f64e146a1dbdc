package site_test

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

// An entry is confirmed, stands in the history, and can be undone.
func TestEntryKeptAndUndone(t *testing.T) {
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
	require.Contains(t, body, "Entry 1 saved.")
	require.Contains(t, body, "17 alive, 1 dead; note a dry corner")
	require.Contains(t, body, "Ida")
	require.NotContains(t, body, "data-now=\"18\"")

	_, withdraw, _ := strings.Cut(body, "Entry 1 is wrong")
	undo := form(t, `id="undo"`+withdraw, "undo")
	require.Equal(t, "1", undo.Get("corrects"))
	status, body = p.post(path+"/log", undo)
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "undone by entry 2")
	require.Contains(t, body, "undoes entry 1")
	require.NotContains(t, body, "is wrong</summary>", "what is undone is not undone again")

	undo.Set("key", strings.Repeat("c", 32))
	status, body = p.post(path+"/log", undo)
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "was already undone by entry 2")
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
		{"more than the tray has", "counts", url.Values{"alive": {"19"}, "note": {"a “dry” corner <i>"}}, 422, []string{"19 alive is more than the 18 stems here", `value="19"`, "a “dry” corner &lt;i&gt;"}},
		{"no number", "counts", url.Values{"alive": {"x7"}, "rooted": {"4"}}, 422, []string{"Alive: “x7” is not a number", `value="x7"`, `value="4"`}},
		{"digits of another script", "counts", url.Values{"dead": {"１２"}}, 422, []string{"is not a number"}},
		{"below nothing", "counts", url.Values{"dead": {"-1"}}, 422, []string{"is not a number"}},
		{"a number too long for one", "counts", url.Values{"growing": {"99999999999999999999999"}}, 422, []string{"is not a number"}},
		{"more that grow than live", "counts", url.Values{"alive": {"3"}, "growing": {"4"}}, 422, []string{"at most 3 can be growing or rooted", `value="3"`, `value="4"`}},
		{"nothing said", "counts", url.Values{}, 422, []string{"the entry is empty"}},
		{"a note beyond its length", "counts", url.Values{"note": {strings.Repeat("n", 121)}}, 422, []string{"a note has at most 120 letters", strings.Repeat("n", 120)}},
		{"how many left is not said", "left", url.Values{"left": {"sold"}}, 422, []string{"How many?"}},
		{"none left", "left", url.Values{"left": {"sold"}, "number": {"0"}}, 422, []string{"How many?"}},
		{"more left than there are", "left", url.Values{"left": {"sold"}, "number": {"40"}}, 422, []string{"40 sold is more than the", `value="40"`}},
		{"a place that there is not", "left", url.Values{"left": {"moon"}, "number": {"1"}}, 400, []string{"This is not a valid entry"}},
		{"a move that there is not", "stages", url.Values{"move": {"moon"}}, 400, []string{"This is not a valid entry"}},
		{"the state of a stem, of a tray", "counts", url.Values{"state": {"dead"}}, 400, []string{"This is not a valid entry"}},
		{"an entry that there is not", "counts", url.Values{"corrects": {"99"}}, 422, []string{"has no entry 99"}},
		{"a key that is none", "counts", url.Values{"alive": {"3"}, "key": {"KEY"}}, 400, []string{"The entry has no key of its own"}},
		{"no key", "counts", url.Values{"alive": {"3"}, "key": nil}, 400, []string{"The entry has no key of its own"}},
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

// A phone that was cut off says how long an entry waited on it; when that was is
// reckoned in the zone of the computer. What cannot be is not believed.
func TestEntryTime(t *testing.T) {
	now := time.Date(2026, 11, 25, 1, 30, 0, 0, time.FixedZone("", 13*60*60))
	for i, each := range []struct{ reason, ago, kept string }{
		{"sent at once", "0", "2026-11-25T01:30:00+13:00"},
		{"an hour ago", "3600", "2026-11-25T00:30:00+13:00"},
		{"the evening before", "7200", "2026-11-24T23:30:00+13:00"},
		{"days ago", "1814400", "2026-11-04T01:30:00+13:00"},
		{"its clock was set back", "-60", "2026-11-25T01:30:00+13:00"},
		{"its clock was set ahead by months", "5184001", "2026-11-25T01:30:00+13:00"},
		{"by centuries", "99999999999999999999", "2026-11-25T01:30:00+13:00"},
		{"a part of a second", "1.5", "2026-11-25T01:30:00+13:00"},
		{"words", "yesterday", "2026-11-25T01:30:00+13:00"},
		{"not said", "", "2026-11-25T01:30:00+13:00"},
		{"very long", strings.Repeat("1", 30_000), "2026-11-25T01:30:00+13:00"},
	} {
		n := newNursery(t)
		n.clock.set(now)
		p := n.phone(t, "Ida")
		fields := url.Values{"key": {fmt.Sprintf("%032x", i)}, "token": {tokenOf(t, p)}, "note": {each.reason}, "ago": {each.ago},
			"at": {"2026-11-20T10:00:00Z"}} // nobody asks a phone what time it is
		status, _ := p.post(at(n.stem(t, 2))+"/log", fields)
		require.Equal(t, http.StatusOK, status, each.reason)
		require.Equal(t, each.kept, n.entries(t)[0].At.Format(time.RFC3339), each.reason)
	}
	n := newNursery(t)
	n.clock.set(now)
	p := n.phone(t, "Ida")
	status, body := p.post(at(n.stem(t, 2))+"/log", url.Values{"key": {strings.Repeat("1", 32)}, "token": {tokenOf(t, p)}, "note": {"too early"}, "ago": {"4320000"}})
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "before grafting")
}

// Entries of one phone keep the order in which they were made, though each may have
// been on its way for longer or shorter; those of others have no part in it.
func TestEntryOrder(t *testing.T) {
	n := newNursery(t)
	ida, ivo := n.phone(t, "Ida"), n.phone(t, "Ivo")
	start := n.clock.now()
	send := func(p *phone, note string, after time.Duration, ago string) {
		n.clock.set(start.Add(after))
		status, _ := p.post(at(n.stem(t, 2))+"/log", url.Values{"key": {strings.Repeat(note, 32)}, "token": {tokenOf(t, p)}, "note": {note}, "ago": {ago}})
		require.Equal(t, http.StatusOK, status)
	}
	send(ida, "a", 20*time.Second, "0") // a slow network
	send(ida, "b", 21*time.Second, "9")
	send(ida, "c", 22*time.Second, "1")
	send(ivo, "d", 23*time.Second, "13")
	send(ida, "e", 10*time.Second, "0") // the clock of the computer was set right
	var notes []string
	for _, entry := range n.entries(t) {
		notes = append(notes, entry.Note+" "+entry.At.Sub(start).String())
	}
	require.Equal(t, []string{"d 10s", "e 10s", "a 20s", "b 20s", "c 21s"}, notes)
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
		require.Contains(t, body, "This was already entered as entry 1, with different content", reason)
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
		{"refused", p, url.Values{"state": {"dead"}, "alive": {"7"}, "key": {strings.Repeat("f", 32)}}, 422, `is more than the`},
		{"not let in", s, url.Values{"state": {"dead"}}, 401, `{"hint":"","problem":"This phone is not let in yet"}`},
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
