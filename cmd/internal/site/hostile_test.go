package site_test

import (
	"bufio"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"
)

// rawRequest is what somebody who means ill writes on a connection.
type rawRequest struct {
	kind  string
	bytes []byte
	// statuses are those of an answer that does no harm.
	statuses []int
}

// hostile makes requests of all kinds, the same for the same seed.
type hostile struct {
	random               *rand.Rand
	host, cookie, token  string // of a phone that was let in
	stem, tray, unissued string // paths
	usedKey              string
	later                func() // a while
	pictures             map[string][]byte
}

// all is so many of each kind.
func (h *hostile) all(count int) []rawRequest {
	var list []rawRequest
	for _, kind := range []struct {
		name     string
		make     func() (head, body string)
		statuses []int
	}{
		{"not let in", h.notLetIn, []int{401, 404, 403, 400}},
		{"wrong token", h.wrongToken, []int{403}},
		{"from another site", h.otherSite, []int{403}},
		{"wrong method", h.wrongMethod, []int{200, 303, 400, 401, 403, 404, 405, 501}},
		{"path", h.path, []int{200, 301, 303, 307, 400, 401, 404}},
		{"size", h.size, []int{400, 403, 413, 422, 431}},
		{"picture", h.picture, []int{400, 413, 415, 422}},
		{"field", h.field, []int{400, 409, 422}},
		{"head", h.head, []int{200, 400, 403, 404, 408, 415, 417, 422, 501, 505}},
		{"key", h.key, []int{400, 403, 413, 429}},
	} {
		for range count {
			head, body := kind.make()
			list = append(list, rawRequest{kind.name, []byte(head + "\r\n\r\n" + body), kind.statuses})
		}
	}
	return list
}

// pick is one of some.
func pick[T any](h *hostile, of ...T) T { return of[h.random.IntN(len(of))] }

// request writes a request with a body, as HTTP/1.1.
func (h *hostile) request(method, path, body string, headers ...string) (string, string) {
	head := method + " " + path + " HTTP/1.1\r\nHost: " + h.host + "\r\nConnection: close"
	if body != "" || method == http.MethodPost {
		head += fmt.Sprintf("\r\nContent-Length: %d", len(body))
	}
	for _, header := range headers {
		head += "\r\n" + header
	}
	return head, body
}

const formType = "Content-Type: application/x-www-form-urlencoded"

func (h *hostile) known() string { return "Cookie: " + h.phone("") + "=" + h.cookie }

// phone is the name of the cookie by which phones are known, or of another.
func (h *hostile) phone(other string) string {
	_, port, _ := strings.Cut(h.host, ":")
	return "graftslip-" + cmp.Or(other, "phone") + "-" + port
}

// entry are fields that would be kept if all else were right.
func (h *hostile) entry() url.Values {
	key := fmt.Sprintf("%016x%016x", h.random.Uint64(), h.random.Uint64())
	return url.Values{"token": {h.token}, "key": {key}, "note": {"never kept"}}
}

// ask sends requests one by one on connections of their own and tells how each was
// answered; what is wrong with an answer is an error.
func (h *hostile) ask(list []rawRequest, ledgerPath string) (map[string]int, error) {
	counts := map[string]int{}
	results, faults := make([]int, len(list)), make([]error, len(list))
	var group errgroup.Group
	group.SetLimit(8)
	for i, each := range list {
		if each.kind == "key" { // one after the other, or all but a few are too many
			_ = group.Wait() // faults has the errors
			h.later()
		}
		group.Go(func() error {
			start := time.Now()
			status, err := h.one(each, ledgerPath)
			if took := time.Since(start); err == nil && took > patience {
				err = fmt.Errorf("it took %v", took)
			}
			if err != nil {
				faults[i] = fmt.Errorf("%s, request %d, %.400q: %w", each.kind, i, each.bytes, err)
			}
			results[i] = status
			return nil
		})
	}
	_ = group.Wait() // faults has the errors
	for i, each := range list {
		counts[fmt.Sprintf("%s: %d", each.kind, results[i])]++
	}
	faults = slices.DeleteFunc(faults, func(err error) bool { return err == nil })
	return counts, errors.Join(faults[:min(len(faults), 8)]...)
}

// patience is how long an answer may take, on a machine with other work.
const patience = 15 * time.Second

func (h *hostile) one(asked rawRequest, ledgerPath string) (status int, err error) {
	line, err := net.Dial("tcp", h.host)
	if err != nil {
		return 0, err
	}
	defer line.Close()
	if err := line.SetDeadline(time.Now().Add(patience)); err != nil {
		return 0, err
	}
	go func() { _, _ = line.Write(asked.bytes) }() // the answer may come before all is taken
	method, _, _ := strings.Cut(string(asked.bytes[:min(20, len(asked.bytes))]), " ")
	answer, err := http.ReadResponse(bufio.NewReader(line), &http.Request{Method: method})
	if err != nil {
		return 0, err
	}
	defer answer.Body.Close()
	body, _ := io.ReadAll(answer.Body) // a connection that is cut while it still sends may end early
	return answer.StatusCode, checkAnswer(asked, answer, string(body), ledgerPath)
}

// checkAnswer says what is wrong with an answer.
func checkAnswer(asked rawRequest, answer *http.Response, body, ledgerPath string) error {
	kind := answer.Header.Get("Content-Type")
	own := answer.Header.Get("Content-Security-Policy") != "" // else the server refused it before the page saw it
	switch {
	case !slices.Contains(asked.statuses, answer.StatusCode):
		return fmt.Errorf("it was answered with %s: %.300s", answer.Status, body)
	case len(answer.Header.Values("Set-Cookie")) > 0:
		return fmt.Errorf("it got a cookie")
	case !own && !slices.Contains([]int{400, 408, 417, 431, 501, 505}, answer.StatusCode):
		return fmt.Errorf("%s without a policy", answer.Status)
	case strings.Contains(body, "note never kept"):
		return fmt.Errorf("it was kept")
	}
	if own {
		if err := guarded(answer.Header); err != nil {
			return err
		}
	}
	if to := answer.Header.Get("Location"); to != "" && (!strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n")) {
		return fmt.Errorf("it leads to %q", to)
	}
	for name, values := range answer.Header {
		if strings.HasPrefix(name, "X-Evil") || slices.Contains(values, "evil") {
			return fmt.Errorf("it set the header %s", name)
		}
	}
	switch {
	case strings.HasPrefix(kind, "text/html"):
		if err := foul(body); err != nil {
			return err
		}
	case kind == "application/json" && !json.Valid([]byte(body)):
		return fmt.Errorf("no object: %s", body)
	}
	if strings.Contains(answer.Header.Get("Content-Type"), "javascript") || strings.HasPrefix(kind, "text/css") {
		return nil // files of the page
	}
	return leaks(body, ledgerPath)
}

// TestHostile sends a thousand requests that mean ill. None changes the ledger,
// none gets a cookie, and no answer tells of the machine or holds what could run.
func TestHostile(t *testing.T) {
	n := newNursery(t)
	usedKey := n.site.Key()
	p := n.phone(t, "Ida")
	here, err := url.Parse(p.server)
	require.NoError(t, err)
	h := &hostile{
		random: rand.New(rand.NewPCG(11, 7)), host: here.Host, cookie: p.client.Jar.Cookies(here)[0].Value, token: tokenOf(t, p),
		stem: at(n.stem(t, 9)), tray: at(n.tray(t, 1)), unissued: at(n.stem(t, 40)), usedKey: usedKey, pictures: hostilePictures(t, n),
		later: func() { n.clock.set(n.clock.now().Add(10 * time.Second)) },
	}
	list := h.all(100)
	require.Len(t, list, 1000)
	before, key := dump(t, n.book), n.site.Key()
	phones, err := n.book.Phones(t.Context())
	require.NoError(t, err)
	var start, end runtime.MemStats
	debug.FreeOSMemory()
	runtime.ReadMemStats(&start)
	threads := runtime.NumGoroutine()

	counts, err := h.ask(list, n.book.Path())
	require.NoError(t, err)

	runtime.ReadMemStats(&end)
	require.Equal(t, before, dump(t, n.book))
	require.Equal(t, key, n.site.Key(), "the key is not spent")
	after, err := n.book.Phones(t.Context())
	require.NoError(t, err)
	require.Equal(t, phones, after)
	require.Empty(t, n.troubles.all())
	require.Less(t, int64(end.Sys)-int64(start.Sys), int64(600<<20), "memory")
	require.Eventually(t, func() bool { return runtime.NumGoroutine() < threads+20 }, 10*time.Second, 10*time.Millisecond, "what was begun has ended")
	for _, answer := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("%4d %s", counts[answer], answer)
	}
	t.Logf("1,000 requests: nothing kept, no trouble, memory of the process grown by %d MB", (int64(end.Sys)-int64(start.Sys))>>20)

	n.clock.set(n.clock.now().Add(time.Hour))
	status, _ := n.stranger(t).post("/open", url.Values{"key": {n.site.Key()}})
	require.Equal(t, http.StatusOK, status, "and a phone can still be let in")
}
