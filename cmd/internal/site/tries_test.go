package site_test

import (
	"fmt"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/cmd/internal/site"
)

// Who tries many keys is slowed, then refused for a while, with the right one, too.
func TestDoorTries(t *testing.T) {
	const pause = 20 * time.Millisecond
	n := newNursery(t, func(o *site.Options) { o.WrongKeyDelay = pause })
	try := func(key string) int {
		status, _ := n.stranger(t).post("/open", url.Values{"key": {key}})
		return status
	}
	for range 5 {
		start := time.Now()
		require.Equal(t, http.StatusForbidden, try(otherKey(n.site.Key())))
		require.GreaterOrEqual(t, time.Since(start), pause)
	}
	require.Equal(t, http.StatusTooManyRequests, try(otherKey(n.site.Key())))
	key := n.site.Key()
	require.Equal(t, http.StatusTooManyRequests, try(key), "the right one at last")
	require.Equal(t, key, n.site.Key(), "it is not spent")
	n.clock.set(n.clock.now().Add(9 * time.Second))
	require.Equal(t, http.StatusTooManyRequests, try(key))
	n.clock.set(n.clock.now().Add(time.Second))
	require.Equal(t, http.StatusOK, try(key), "after a while")
}

// Keys that are tried at once are counted like those that are tried one by one.
func TestDoorTriesAtOnce(t *testing.T) {
	n := newNursery(t, func(o *site.Options) { o.WrongKeyDelay = 50 * time.Millisecond })
	wrong := otherKey(n.site.Key())
	var looked atomic.Int32
	var group errgroup.Group
	for range 60 {
		p := n.stranger(t)
		group.Go(func() error {
			answer, err := p.client.PostForm(p.server+"/open", url.Values{"key": {wrong}})
			if err == nil {
				answer.Body.Close()
				if answer.StatusCode == http.StatusForbidden {
					looked.Add(1)
				}
			}
			return err
		})
	}
	require.NoError(t, group.Wait())
	require.Equal(t, int32(5), looked.Load())
}

// Many machines together may try no more than fifty times a second either, and a
// wrong key of one does not shut out another.
func TestDoorTriesOfAll(t *testing.T) {
	n := newNursery(t)
	from := func(address, key string) int {
		answer := n.direct(t, address, http.MethodPost, "/open", url.Values{"key": {key}}.Encode())
		return answer.Code
	}
	looked := 0
	for machine := range 300 {
		for range 5 {
			if from(address(machine), otherKey(n.site.Key())) == http.StatusForbidden {
				looked++
			}
		}
		if machine == 0 {
			require.Equal(t, http.StatusSeeOther, from(address(5000), n.site.Key()), "another machine")
		}
	}
	require.Equal(t, 50, looked)
	require.Equal(t, http.StatusTooManyRequests, from(address(6000), n.site.Key()))
	n.clock.set(n.clock.now().Add(20 * time.Millisecond))
	require.Equal(t, http.StatusSeeOther, from(address(6000), n.site.Key()), "after a moment")

	for machine := range 3000 { // who makes addresses up does not get his own tries back
		from(address(10_000+machine), otherKey(n.site.Key()))
	}
	n.clock.set(n.clock.now().Add(2 * time.Second))
	require.Equal(t, http.StatusTooManyRequests, from(address(0), n.site.Key()))
	require.Equal(t, http.StatusSeeOther, from(address(7000), n.site.Key()))
}

// A machine has more IPv6 addresses than can be counted, all of one network: it does
// not hold the door shut with them for others, nor try oftener itself.
func TestDoorNetworkIsOneMachine(t *testing.T) {
	n := newNursery(t)
	from := func(address, key string) int {
		return n.direct(t, address, http.MethodPost, "/open", url.Values{"key": {key}}.Encode()).Code
	}
	looked := 0
	for number := range 2000 {
		if from(fmt.Sprintf("[2001:db8:0:7::%x]:4000", number), otherKey(n.site.Key())) == http.StatusForbidden {
			looked++
		}
		if number%100 == 0 {
			require.Equal(t, http.StatusSeeOther, from("192.168.1.9:4000", n.site.Key()))
			require.Equal(t, http.StatusSeeOther, from("[2001:db8:0:8::1]:4000", n.site.Key()))
		}
	}
	require.Equal(t, 5, looked)
	for _, same := range []string{"[fe80::1%eth0]:1", "[fe80::2%eth1]:1", "[fe80::3]:1", "[fe80::4]:1", "[fe80::5]:1"} {
		require.Equal(t, http.StatusForbidden, from(same, otherKey(n.site.Key())), same)
	}
	require.Equal(t, http.StatusTooManyRequests, from("[fe80::6]:1", n.site.Key()))
	for range 5 {
		require.Equal(t, http.StatusForbidden, from("[::ffff:10.0.0.1]:1", otherKey(n.site.Key())))
	}
	require.Equal(t, http.StatusTooManyRequests, from("10.0.0.1:1", n.site.Key()), "the same machine")
	require.Equal(t, http.StatusSeeOther, from("10.0.0.2:1", n.site.Key()), "and another")
}

// A text with a secret is compared in a time that does not depend on it.
func TestDoorComparesInConstantTime(t *testing.T) {
	source, err := os.ReadFile("admission.go")
	require.NoError(t, err)
	require.Equal(t, 2, strings.Count(string(source), "subtle.ConstantTimeCompare("), "the key, and the token of forms")
	for _, plainly := range []string{"key == d.key", "d.key == key", "token == p.form", "p.form == token"} {
		require.NotContains(t, string(source), plainly)
	}
}
