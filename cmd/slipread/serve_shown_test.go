package main

import (
	"context"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Phones reach a computer at the addresses of its house, or else at those that the
// world knows, and by the longer kind only where there is no other.
func TestServeForPhones(t *testing.T) {
	for _, each := range []struct {
		reason  string
		here    []string
		outward string
		hosts   []string
	}{
		{"the one that sends to the world before bridges within", []string{"172.17.0.1", "192.168.1.20", "10.0.0.4"}, "192.168.1.20", []string{"192.168.1.20", "172.17.0.1", "10.0.0.4"}},
		{"also where it is not private", []string{"172.17.0.1", "198.51.100.2"}, "198.51.100.2", []string{"198.51.100.2", "172.17.0.1"}},
		{"one that is not there any more", []string{"10.0.0.4"}, "192.168.1.20", []string{"10.0.0.4"}},
		{"one that no other machine reaches", []string{"127.0.0.1", "10.0.0.4"}, "127.0.0.1", []string{"10.0.0.4"}},
		{"a private one before others", []string{"127.0.0.1", "192.0.2.2", "192.168.1.20", "::1", "2001:db8::5"}, "", []string{"192.168.1.20", "192.0.2.2"}},
		{"only one that is not private", []string{"127.0.0.1", "192.0.2.2"}, "", []string{"192.0.2.2"}},
		{"several of a house, in their order", []string{"172.17.0.1", "10.0.0.4"}, "", []string{"172.17.0.1", "10.0.0.4"}},
		{"none but IPv6", []string{"127.0.0.1", "::1", "fe80::1", "2001:db8::5", "fd00::5"}, "", []string{"2001:db8::5", "fd00::5"}},
		{"an address that a computer gives itself", []string{"169.254.7.7", "fe80::1", "224.0.0.1", "0.0.0.0"}, "", nil},
		{"itself alone", []string{"127.0.0.1", "::1"}, "", nil},
	} {
		var here []net.IP
		for _, address := range each.here {
			here = append(here, net.ParseIP(address))
		}
		require.Equal(t, each.hosts, forPhones(here, net.ParseIP(each.outward)), each.reason)
	}
}

// With --lan the address is one of this machine that is not its own alone; where
// there is none, nothing is served.
func TestServeLan(t *testing.T) {
	for _, address := range []string{"", "0.0.0.0"} {
		hosts, err := reachableHosts(t.Context(), address, true)
		if err != nil {
			require.ErrorContains(t, err, "this computer has no address at which phones could reach the page")
			continue
		}
		for _, host := range hosts {
			ip := net.ParseIP(host)
			require.True(t, ip.IsGlobalUnicast(), host)
			require.False(t, address == "0.0.0.0" && ip.To4() == nil, host)
		}
	}
}

// The terminal says once what is served and to whom, and does not speak of a next
// phone before there was one.
func TestServeSays(t *testing.T) {
	const alone, reads = "only this computer reaches the page; for phones in the same network, use --lan\n", "view only: the page takes no entries and prints no labels\n"
	book, _ := newBook(t, 1)
	for _, each := range []struct {
		reason       string
		flags        []string
		alone, reads int
	}{
		{"for this computer", nil, 1, 0},
		{"that only reads", []string{"--read-only"}, 1, 1},
		{"for phones", []string{"--lan", "--addr", "127.0.0.2:0"}, 0, 0},
	} {
		if _, err := reachableHosts(t.Context(), "", true); err != nil && each.alone == 0 {
			continue // on a machine without a network
		}
		s := serve(t, book, each.flags...)
		first := s.out.String()
		require.True(t, strings.HasPrefix(first, "ledger: "+book+"\n"), first)
		require.NotContains(t, first, "next", each.reason)
		require.Contains(t, first, "this address lets one phone in: http://", each.reason)
		if each.alone == 1 {
			s.letIn(t, "Ida")
			require.Contains(t, s.out.String(), "the next phone: http://", each.reason)
		}
		require.Equal(t, each.alone, strings.Count(s.out.String(), alone), each.reason)
		require.Equal(t, each.reads, strings.Count(s.out.String(), reads), each.reason)
		require.Equal(t, 1, strings.Count(s.out.String(), "ledger: "), each.reason)
		require.Equal(t, 1, strings.Count(s.out.String(), "Ctrl+C stops the page\n"), each.reason)
		require.Zero(t, s.end(t))
	}
}

// Into a file goes the address, without a picture and its colours.
func TestServeIntoFile(t *testing.T) {
	book, _ := newBook(t, 1)
	path := filepath.Join(t.TempDir(), "page.txt")
	file, err := os.Create(path)
	require.NoError(t, err)
	defer file.Close()
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan int, 1)
	var errs screen
	go func() {
		ended <- program{now: time.Now, open: openScan}.run(ctx, []string{"serve", "--ledger", book, "--addr", "127.0.0.1:0"}, strings.NewReader(""), file, &errs)
	}()
	written := func() string {
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		return string(content)
	}
	require.Eventually(t, func() bool { return strings.Contains(written(), "key to type: ") }, 20*time.Second, 5*time.Millisecond, "%s", &errs)
	stop()
	require.Zero(t, <-ended, "%s", &errs)
	require.Regexp(t, `(?m)^this address lets one phone in: http://127\.0\.0\.1:\d+/open/\d{12}\nkey to type: \d{4}-\d{4}-\d{4}$`, written())
	require.NotContains(t, written(), "\x1b")
	require.NotContains(t, written(), "█")
}

// A terminal gets the picture.
func TestServeOntoTerminal(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("it has no /dev/ptmx to try it on")
	}
	terminal, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip(err)
	}
	defer terminal.Close()
	require.True(t, isTerminal(terminal))
	require.True(t, isTerminal(&screen{}), "what is no file is asked nothing")
}
