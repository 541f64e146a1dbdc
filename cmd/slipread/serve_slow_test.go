package main

import (
	"bufio"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/cmd/internal/site"
	"graftslip/codes/scan"
	"graftslip/records/ledger"
)

// hurried are limits that a test can wait for.
func hurried() limits {
	return limits{head: 150 * time.Millisecond, body: 400 * time.Millisecond, idle: 250 * time.Millisecond, end: 200 * time.Millisecond, connections: 4, header: 16 << 10}
}

// serveHurried serves a page with these limits and returns its address, and what
// ends it and tells how it ended.
func serveHurried(t *testing.T) (address string, end func() error) {
	t.Helper()
	path, _ := newBook(t, 1)
	book, err := ledger.OpenExisting(t.Context(), path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, book.Close()) })
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, renderer.Close()) })
	f := serveFlags{printing: command.NewPrintFlags()}
	options, err := program{now: time.Now, open: openScan}.siteOptions(f, book, renderer, io.Discard)
	require.NoError(t, err)
	pages, err := site.New(t.Context(), options)
	require.NoError(t, err)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- servePage(ctx, hurried(), listener, pages, console{out: io.Discard, hosts: []string{"127.0.0.1"}, port: "1"})
	}()
	end = func() error {
		stop()
		err := <-ended
		ended <- err
		return err
	}
	t.Cleanup(func() { _ = end() })
	return listener.Addr().String(), end
}

func dial(t *testing.T, address string) net.Conn {
	t.Helper()
	line, err := net.Dial("tcp", address)
	require.NoError(t, err)
	t.Cleanup(func() { line.Close() })
	require.NoError(t, line.SetDeadline(time.Now().Add(10*time.Second)))
	return line
}

// All that a phone may take of the computer has an end.
func TestServeLimits(t *testing.T) {
	limits := reflect.ValueOf(phoneLimits())
	for i := range limits.NumField() {
		require.Positive(t, limits.Field(i).Int(), limits.Type().Field(i).Name)
	}
}

// A connection on which nothing comes, or all too slowly, is cut.
func TestServeCutsTheSlow(t *testing.T) {
	address, _ := serveHurried(t)
	for _, each := range []struct {
		reason, first, drop string
		most                time.Duration
	}{
		{"nothing at all", "", "", 2 * time.Second},
		{"the head of a request, letter by letter", "GET /scan HTTP/1.1\r\nHost: bed\r\nX-Slow: ", "x", 2 * time.Second},
		{"a head without an end", "GET /scan HTTP/1.1\r\nHost: bed\r\n", "", 2 * time.Second},
		{"a form, letter by letter", "POST /open HTTP/1.1\r\nHost: bed\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 9000\r\n\r\nkey=", "1", 3 * time.Second},
		{"a form that stops", "POST /open HTTP/1.1\r\nHost: bed\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 9000\r\n\r\nkey=", "", 3 * time.Second},
		{"nothing after an answer", "GET /open HTTP/1.1\r\nHost: bed\r\n\r\n", "", 3 * time.Second},
	} {
		line := dial(t, address)
		start := time.Now()
		_, err := io.WriteString(line, each.first)
		require.NoError(t, err, each.reason)
		done := make(chan struct{})
		if each.drop != "" {
			go func() {
				for {
					select {
					case <-done:
						return
					case <-time.After(30 * time.Millisecond):
						_, _ = io.WriteString(line, each.drop)
					}
				}
			}()
		}
		_, err = io.Copy(io.Discard, line) // until it is cut
		close(done)
		require.NotErrorIs(t, err, os.ErrDeadlineExceeded, "our own, not the page's: "+each.reason) // a reset is a cut, too
		require.Less(t, time.Since(start), each.most, each.reason)
		line.Close()
	}
}

// Who holds all connections without a word shuts others out for a moment only.
func TestServeHeldConnections(t *testing.T) {
	address, _ := serveHurried(t)
	for range hurried().connections {
		dial(t, address)
	}
	start := time.Now()
	answer, err := http.Get("http://" + address + "/open")
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusOK, answer.StatusCode)
	require.GreaterOrEqual(t, time.Since(start), hurried().head/2, "it had to wait")
}

// A head that is too long is refused.
func TestServeLongHead(t *testing.T) {
	address, _ := serveHurried(t)
	line := dial(t, address)
	_, err := io.WriteString(line, "GET /open HTTP/1.1\r\nHost: bed\r\nX-Long: "+strings.Repeat("x", 30<<10)+"\r\n\r\n")
	require.NoError(t, err)
	answer, err := http.ReadResponse(bufio.NewReader(line), nil)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusRequestHeaderFieldsTooLarge, answer.StatusCode)
}

// Whoever is in the middle of something does not keep the page from ending.
func TestServeEndsAlthoughBusy(t *testing.T) {
	address, end := serveHurried(t)
	line := dial(t, address)
	_, err := io.WriteString(line, "POST /open HTTP/1.1\r\nHost: bed\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 9000\r\n\r\nkey=")
	require.NoError(t, err)
	time.Sleep(50 * time.Millisecond) // until it is being answered
	start := time.Now()
	require.NoError(t, end())
	require.Less(t, time.Since(start), 3*time.Second)
}
