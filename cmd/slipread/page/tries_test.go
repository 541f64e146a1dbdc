package page_test

import (
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/cmd/slipread/page"
)

// Who tries many keys is slowed, then refused for a while, with the right one, too.
func TestDoorTries(t *testing.T) {
	const pause = 20 * time.Millisecond
	n := newNursery(t, func(o *page.Options) { o.Pause = pause })
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
	n := newNursery(t, func(o *page.Options) { o.Pause = 50 * time.Millisecond })
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

// Many machines together may try no more than twenty times at once either, and a
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
	require.Equal(t, 20, looked)
	require.Equal(t, http.StatusTooManyRequests, from(address(6000), n.site.Key()))
	n.clock.set(n.clock.now().Add(2 * time.Second))
	require.Equal(t, http.StatusSeeOther, from(address(6000), n.site.Key()), "after a while")

	for machine := range 3000 { // who makes addresses up does not get his own tries back
		from(address(10_000+machine), otherKey(n.site.Key()))
	}
	n.clock.set(n.clock.now().Add(2 * time.Second))
	require.Equal(t, http.StatusTooManyRequests, from(address(0), n.site.Key()))
	require.Equal(t, http.StatusSeeOther, from(address(7000), n.site.Key()))
}

// A text with a secret is compared in a time that does not depend on it.
func TestDoorComparesInConstantTime(t *testing.T) {
	source, err := os.ReadFile("door.go")
	require.NoError(t, err)
	require.Equal(t, 2, strings.Count(string(source), "subtle.ConstantTimeCompare("), "the key, and the token of forms")
	for _, plainly := range []string{"key == d.key", "d.key == key", "token == p.form", "p.form == token"} {
		require.NotContains(t, string(source), plainly)
	}
}
