package site_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/site"
	"graftslip/codes/scan"
	"graftslip/records"
)

// sends posts fields as a browser or its script would, with headers.
func (p *phone) sends(path string, fields url.Values, headers ...string) (status int, body string) {
	p.t.Helper()
	request, err := http.NewRequestWithContext(p.t.Context(), http.MethodPost, p.server+path, strings.NewReader(fields.Encode()))
	require.NoError(p.t, err)
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for i := 0; i < len(headers); i += 2 {
		request.Header.Set(headers[i], headers[i+1])
	}
	answer, err := p.client.Do(request)
	require.NoError(p.t, err)
	return p.read(answer)
}

// What another site sends is refused, whatever the site.
func TestOtherSitesAreRefused(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	key := 0
	fields := func() url.Values {
		key++
		return url.Values{"token": {tokenOf(t, p)}, "key": {fmt.Sprintf("%032x", key)}, "note": {"soft"}}
	}
	path := at(n.stem(t, 4)) + "/log"
	for _, origin := range []string{"null", "http://evil.example", "https://" + strings.TrimPrefix(p.server, "http://") + ".example", "http://127.0.0.1:1", "file://"} {
		status, body := p.sends(path, fields(), "Origin", origin)
		require.Equal(t, http.StatusForbidden, status, origin)
		require.Contains(t, body, "Another website sent this", origin)
		require.Contains(t, body, "Open this page and enter it here", origin)
	}
	require.Empty(t, n.entries(t))
	status, _ := p.sends(path, fields(), "Origin", p.server)
	require.Equal(t, http.StatusOK, status, "its own page")
	require.Len(t, n.entries(t), 1)
}

// Each refusal says what is wrong, and what to do.
func TestRefusalsSayWhatToDo(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	token := tokenOf(t, p)
	key := strings.Repeat("a", 32)
	log := at(n.tray(t, 1)) + "/log"
	for _, each := range []struct {
		reason, path  string
		fields        url.Values
		status        int
		problem, hint string
	}{
		{"a token of another page", log, url.Values{"token": {"x"}, "key": {key}}, 403, "This came from an old page, or from another website", "Reload the page and enter it again"},
		{"too much", log, url.Values{"token": {token}, "note": {strings.Repeat("n", 70_000)}}, 413, "The form is too large", "Send less at once"},
		{"how many, and not what", log, url.Values{"token": {token}, "key": {key}, "number": {"3"}}, 422, "What became of the 3?", "Tap Sold, Planted, Culled alive or Label unused"},
		{"a key that is none", log, url.Values{"token": {token}}, 400, "The entry has no key of its own", "Reload the page and enter it again"},
		{"a day to come", log, url.Values{"token": {token}, "key": {key}, "day": {"2026-12-01"}}, 422, "2026-12-01 is in the future", "Give the day you saw it"},
	} {
		status, body := p.post(each.path, each.fields)
		require.Equal(t, each.status, status, each.reason)
		require.Contains(t, shownOn(t, body), each.problem, each.reason)
		require.Contains(t, shownOn(t, body), each.hint, each.reason)
	}
	status, body := p.post(log, nil)
	require.Equal(t, http.StatusForbidden, status, body)
	answer, err := p.client.Post(p.server+log, "application/x-www-form-urlencoded", strings.NewReader("token=%zz"))
	require.NoError(t, err)
	status, body = p.read(answer)
	require.Equal(t, http.StatusBadRequest, status)
	require.Contains(t, body, "The form cannot be read")
	require.Contains(t, body, "Reload the page and enter it again")

	large := asPNG(t, photo(t))
	for _, each := range []struct {
		reason        string
		content       []byte
		status        int
		problem, hint string
	}{
		{"no picture", []byte("words"), 415, "This picture cannot be read", "Send a photo as JPEG or PNG"},
		{"many pixels", sized(large, 8000, 8000), 413, "The picture is too large", "Send a picture of at most 50 megapixels"},
		{"many bytes", bytes.Repeat([]byte{7}, 25<<20), 413, "The photo is too large", "Send a photo of at most 24 MB"},
		{"cut off", large[:len(large)/2], 422, "The picture is damaged", "Take the photo again"},
		{"nothing", nil, 400, "No photo was sent", "Choose the photo again"},
	} {
		status, _, body := p.send(each.content)
		require.Equal(t, each.status, status, each.reason)
		require.Contains(t, body, each.problem, each.reason)
		require.Contains(t, body, each.hint, each.reason)
	}
}

// What is wrong at the computer is for whoever looks there. Only who sent a form
// without the script must hear that it is lost: the script has it still.
func TestLostIsSaidWhereItIs(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	fields := url.Values{"token": {tokenOf(t, p)}, "key": {strings.Repeat("a", 32)}, "note": {"soft"}}
	require.NoError(t, n.book.Close())
	status, body := p.sends(at(n.stem(t, 1))+"/log", fields, "Accept", "application/json")
	require.Equal(t, http.StatusInternalServerError, status)
	require.JSONEq(t, `{"problem": "Internal error", "hint": "See the messages on the computer that runs slipread serve"}`, body)
	status, body = p.post(at(n.stem(t, 1))+"/log", fields)
	require.Equal(t, http.StatusInternalServerError, status)
	require.Contains(t, body, "See the messages on the computer that runs slipread serve; what you entered was not kept")
	_, body = p.get(at(n.stem(t, 1)))
	require.Contains(t, body, "slipread serve<", "nothing was entered")
	require.Len(t, n.troubles.all(), 3, "each is told once")
}

// Who hears the page is told which fields were refused, and why.
func TestRefusedFieldsAreMarked(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	for _, each := range []struct {
		reason string
		fields url.Values
		field  string // for the script
		marked []string
	}{
		{"one that is no number", url.Values{"alive": {"x"}, "dead": {"2"}}, "alive", []string{"alive"}},
		{"numbers that contradict each other", url.Values{"alive": {"3"}, "growing": {"4"}, "note": {"soft"}}, "", []string{"alive", "growing"}},
		{"a day", url.Values{"alive": {"3"}, "day": {"Friday"}}, "day", []string{"counts-day"}},
		{"a long note", url.Values{"alive": {"3"}, "note": {strings.Repeat("n", 121)}}, "", []string{"note"}},
		{"how many is left out", url.Values{"left": {"sold"}}, "number", []string{"number"}},
		{"more left than there are", url.Values{"left": {"sold"}, "number": {"40"}}, "", []string{"number"}},
	} {
		each.fields.Set("token", tokenOf(t, p))
		each.fields.Set("key", strings.Repeat("a", 32))
		_, body := p.post(at(n.tray(t, 1))+"/log", each.fields)
		var marked []string
		for _, part := range strings.Split(body, "<input ")[1:] {
			part, _, _ = strings.Cut(part, ">")
			if strings.Contains(part, `aria-invalid="true" aria-describedby="problem"`) {
				_, id, _ := strings.Cut(part, `id="`)
				id, _, _ = strings.Cut(id, `"`)
				marked = append(marked, id)
			}
		}
		require.Equal(t, each.marked, marked, each.reason)
		require.Contains(t, body, `role="alert" id="problem"`)
		_, body = p.sends(at(n.tray(t, 1))+"/log", each.fields, "Accept", "application/json")
		var told struct{ Field string }
		require.NoError(t, json.Unmarshal([]byte(body), &told))
		require.Equal(t, each.field, told.Field, each.reason)
	}
}

// The longest name and note that a field takes are those that are kept.
func TestLongestTyped(t *testing.T) {
	n := newNursery(t)
	_, body := n.stranger(t).get("/open")
	require.Contains(t, body, `maxlength="40" autocomplete="name"`)
	p := n.phone(t, strings.Repeat("I", 41))
	_, body = p.get(at(n.stem(t, 1)))
	require.Contains(t, body, `name="note" value="" maxlength="120"`)
	require.Contains(t, body, "· "+strings.Repeat("I", 40)+"<")
}

// Who must wait, or has no right to enter, is told what to do.
func TestBusyAndClosedSayWhatToDo(t *testing.T) {
	release := make(chan struct{})
	n := newNursery(t, func(o *site.Options) {
		o.ReadPhoto = func(ctx context.Context, _ io.Reader, _ func(string) bool) iter.Seq2[scan.View, error] {
			select {
			case <-release:
			case <-ctx.Done():
			}
			return func(func(scan.View, error) bool) {}
		}
		o.Reprint = func(context.Context, records.Record, int) (string, []byte, error) {
			return "", nil, context.DeadlineExceeded
		}
	})
	p := n.phone(t, "Ida")
	status, body := p.post(at(n.stem(t, 1))+"/tag", url.Values{"token": {tokenOf(t, p)}, "place": {"1"}})
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Contains(t, body, "It took too long")
	require.Contains(t, body, "Try again<")

	var group sync.WaitGroup
	form, kind := photoForm(t, "photo", asPNG(t, photo(t)))
	here, err := url.Parse(p.server)
	require.NoError(t, err)
	send := func(ctx context.Context) *httptest.ResponseRecorder {
		request := httptest.NewRequestWithContext(ctx, http.MethodPost, "/scan", bytes.NewReader(form))
		request.Host = here.Host
		request.Header.Set("Content-Type", kind)
		request.AddCookie(p.client.Jar.Cookies(here)[0])
		answer := httptest.NewRecorder()
		n.site.Handler().ServeHTTP(answer, request)
		return answer
	}
	for range 8 { // as many as are taken at once
		group.Go(func() { send(t.Context()) })
	}
	require.Eventually(t, func() bool {
		soon, end := context.WithTimeout(t.Context(), 20*time.Millisecond)
		defer end()
		answer := send(soon)
		return answer.Code == http.StatusServiceUnavailable && strings.Contains(answer.Body.String(), "Too many photos are being read") &&
			strings.Contains(answer.Body.String(), "Try again in a moment")
	}, 10*time.Second, 10*time.Millisecond)
	close(release)
	group.Wait()

	reader := newNursery(t, func(o *site.Options) { o.ReadOnly = true })
	status, body = reader.phone(t, "Guest").post(at(reader.stem(t, 1))+"/log", nil)
	require.Equal(t, http.StatusForbidden, status)
	require.Contains(t, body, "This page is view only")
	require.Contains(t, body, "Ask the person who runs it")
	require.Empty(t, n.troubles.all())
}
