package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// screen is a terminal that a test reads while the program writes.
type screen struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

func (s *screen) Write(b []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.Write(b)
}

func (s *screen) String() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.String()
}

// served is a run of "slipread serve".
type served struct {
	out, errs screen
	address   string
	stop      context.CancelFunc
	ended     chan int
}

// serve runs the page over a ledger, on a port that is free, until the test ends.
func serve(t testing.TB, book string, flags ...string) *served {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	s := &served{stop: stop, ended: make(chan int, 1)}
	go func() {
		args := append([]string{"serve", "--ledger", book, "--addr", "127.0.0.1:0"}, flags...)
		s.ended <- program{now: time.Now, open: openScan}.run(ctx, args, strings.NewReader(""), &s.out, &s.errs)
	}()
	t.Cleanup(func() { s.end(t) })
	s.address = "http://" + s.shown(t, 1)[0][1]
	return s
}

// shown waits until so many keys were shown and returns, for each, the address
// and the key.
func (s *served) shown(t testing.TB, count int) [][]string {
	t.Helper()
	pattern := regexp.MustCompile(`(?m)^(?:this address lets one phone in|the next phone): http://([^/]+)/open/(\d{12})$[^k]*^key to type: \d{4}-\d{4}-\d{4}$`)
	var keys [][]string
	require.Eventually(t, func() bool {
		keys = pattern.FindAllStringSubmatch(s.out.String(), -1)
		return len(keys) >= count
	}, 20*time.Second, 2*time.Millisecond, "%s", &s.errs)
	return keys
}

// end stops the program as an interrupt does, once, and returns its exit code.
func (s *served) end(t testing.TB) int {
	t.Helper()
	s.stop()
	select {
	case status := <-s.ended:
		s.ended <- status
		return status
	case <-time.After(20 * time.Second):
		require.Fail(t, "the page did not end")
		return -1
	}
}

// letIn opens the page for a phone with the latest key that is shown.
func (s *served) letIn(t testing.TB, name string) *http.Client {
	t.Helper()
	keys := s.shown(t, 1)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	phone := &http.Client{Jar: jar, Timeout: 30 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 2}}
	t.Cleanup(phone.CloseIdleConnections)
	answer, err := phone.PostForm(s.address+"/open", url.Values{"key": {keys[len(keys)-1][2]}, "name": {name}})
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusOK, answer.StatusCode)
	s.shown(t, len(keys)+1)
	return phone
}

func statusOf(t testing.TB, phone *http.Client, address string) int {
	t.Helper()
	answer, err := phone.Get(address)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	return answer.StatusCode
}

// newBook is a ledger with batches of 60 that were grafted twenty days ago.
func newBook(t testing.TB, batches int) (path string, issued []records.Batch) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "book.db")
	book, err := ledger.Open(t.Context(), path)
	require.NoError(t, err)
	year, month, day := time.Now().AddDate(0, 0, -20).Date()
	drafts := make([]records.Draft, batches)
	for i := range drafts {
		drafts[i] = records.Draft{Date: time.Date(year, month, day, 0, 0, 0, 0, time.UTC), Variety: fmt.Sprintf("Ember Vane %d", i+1), Stock: "Marl Cross", Grafts: 60, TraySize: 30}
	}
	made, err := book.Issue(t.Context(), drafts, nil)
	require.NoError(t, err)
	require.NoError(t, book.Close())
	for _, one := range made {
		issued = append(issued, one.Batch)
	}
	return path, issued
}

// The terminal shows an address with a key, and the next one once a phone is in.
// An interrupt is how a page ends, so it is no failure.
func TestServe(t *testing.T) {
	book, batches := newBook(t, 1)
	s := serve(t, book)
	phone := s.letIn(t, "Ida")
	keys := s.shown(t, 2)
	require.NotEqual(t, keys[0][2], keys[1][2])
	record := s.address + "/" + strings.ReplaceAll(batches[0].Code.String(), "-", "")
	require.Equal(t, http.StatusOK, statusOf(t, phone, record))
	require.Zero(t, s.end(t), "%s", &s.errs)
	require.Empty(t, s.errs.String())
	_, err := phone.Get(record)
	require.Error(t, err, "nobody answers any more")
}

// A page that is served again knows its phones, unless it is told to forget them.
// Its port is the same, by which the phone knows which cookie to bring.
func TestServeForgets(t *testing.T) {
	book, _ := newBook(t, 1)
	first := serve(t, book)
	phone := first.letIn(t, "Ida")
	old, err := url.Parse(first.address)
	require.NoError(t, err)
	cookies := phone.Jar.Cookies(old)
	require.Len(t, cookies, 1)
	require.Zero(t, first.end(t))
	for _, each := range []struct {
		reason string
		flags  []string
		status int
	}{
		{"served again", nil, http.StatusOK},
		{"a page that only reads has phones of its own", []string{"--read-only"}, http.StatusUnauthorized},
		{"it is known still", nil, http.StatusOK},
		{"forgotten", []string{"--forget-phones"}, http.StatusUnauthorized},
		{"and for good", nil, http.StatusUnauthorized},
	} {
		again := serve(t, book, append(each.flags, "--addr", old.Host)...)
		require.Equal(t, each.status, statusOf(t, phone, again.address+"/scan"), each.reason)
		require.Zero(t, again.end(t), each.reason)
	}
}

// Without --lan the page is for this machine alone, with it for the others, too.
func TestServeBind(t *testing.T) {
	for _, each := range []struct {
		address    string
		lan        bool
		host, port string
	}{
		{"127.0.0.1:8417", false, "127.0.0.1", "8417"},
		{":8418", false, "127.0.0.1", "8418"},
		{"localhost:0", false, "localhost", "0"},
		{"[::1]:8417", false, "::1", "8417"},
		{"127.0.0.1:8417", true, "", "8417"},
		{":8418", true, "", "8418"},
		{"192.0.2.7:8417", true, "192.0.2.7", "8417"},
	} {
		host, port, err := bind(each.address, each.lan)
		require.NoError(t, err, each.address)
		require.Equal(t, []string{each.host, each.port}, []string{host, port}, "%s, lan %v", each.address, each.lan)
		hosts, err := reachableHosts(t.Context(), host, each.lan)
		require.NoError(t, err, each.address)
		require.NotEmpty(t, hosts)
		for _, address := range hosts {
			require.NotEmpty(t, address)
			if !each.lan {
				require.Contains(t, []string{"127.0.0.1", "localhost", "::1"}, address)
			}
		}
	}
}

// A port that is taken is named, with what to do, and no phone is forgotten.
func TestServePortTaken(t *testing.T) {
	path, _ := newBook(t, 1)
	book, err := ledger.OpenExisting(t.Context(), path)
	require.NoError(t, err)
	defer book.Close()
	require.NoError(t, book.OpenPhone(t.Context(), ledger.Phone{Hash: "5eed", Until: time.Now().Add(time.Hour)}))
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	status, stdout, stderr := slipread(t, "serve", "--ledger", path, "--forget-phones", "--addr", taken.Addr().String())
	require.Equal(t, 1, status)
	require.Empty(t, stdout)
	require.Contains(t, stderr, "error: the page cannot be served: listen tcp "+taken.Addr().String())
	require.Contains(t, stderr, "hint: the page may already be running, or the address may belong to another computer; give another with --addr")
	phones, err := book.Phones(t.Context())
	require.NoError(t, err)
	require.Len(t, phones, 1)
}

// A screen that takes nothing ends the page, since nobody would see the key.
func TestServeWithoutScreen(t *testing.T) {
	book, _ := newBook(t, 1)
	var errs bytes.Buffer
	status := program{now: time.Now, open: openScan}.run(t.Context(), []string{"serve", "--ledger", book, "--addr", "127.0.0.1:0"}, strings.NewReader(""), brokenScreen{}, &errs)
	require.Equal(t, 1, status)
	require.Equal(t, "error: the screen is gone\n", errs.String())
}

// Troubles of requests at the same time come one after the other, each whole.
func TestServeTroublesTakeTurns(t *testing.T) {
	var stderr strings.Builder // which is not for several at once
	report := reportTo(&stderr)
	var group sync.WaitGroup
	for range 50 {
		group.Go(func() {
			for range 20 {
				report(errors.New("the disk is full"))
			}
		})
	}
	group.Wait()
	require.Equal(t, strings.Repeat("error: the disk is full\n", 1000), stderr.String())
}

type brokenScreen struct{}

func (brokenScreen) Write([]byte) (int, error) { return 0, fmt.Errorf("the screen is gone") }
