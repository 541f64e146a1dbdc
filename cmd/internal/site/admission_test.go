package site_test

import (
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/cmd/internal/site"
)

// otherKey is a key of the same shape that is not the one.
func otherKey(key string) string {
	if key == "000000000000" {
		return "000000000001"
	}
	return "000000000000"
}

// Only the key that is shown lets a phone in, typed as people type it.
func TestDoorKeys(t *testing.T) {
	for _, each := range []struct {
		reason string
		key    func(shown string) string
		status int
	}{
		{"as it is shown in the address", func(key string) string { return key }, 200},
		{"as it is shown to be typed", func(key string) string { return key[:4] + "-" + key[4:8] + "-" + key[8:] }, 200},
		{"with spaces", func(key string) string { return " " + key[:6] + " " + key[6:] + "\t" }, 200},
		{"another", otherKey, 403},
		{"none", func(string) string { return "" }, 403},
		{"a part", func(key string) string { return key[:11] }, 403},
		{"with more behind", func(key string) string { return key + "0" }, 403},
		{"very long", func(key string) string { return strings.Repeat(key, 5000) }, 403},
		{"digits of another script", func(key string) string {
			return strings.Map(func(r rune) rune { return r - '0' + '٠' }, key)
		}, 403},
		{"with a NUL", func(key string) string { return key + "\x00" }, 403},
	} {
		n := newNursery(t)
		shown := n.site.Key()
		p := n.stranger(t)
		status, body := p.post("/open", url.Values{"key": {each.key(shown)}, "name": {"Ida"}})
		require.Equal(t, each.status, status, each.reason)
		tidy(t, body)
		if status == http.StatusOK {
			require.NotEqual(t, shown, n.site.Key(), "%s: the next key is another", each.reason)
			require.Contains(t, body, "Ida")
			continue
		}
		require.Equal(t, shown, n.site.Key(), "%s: a wrong key changes nothing", each.reason)
		require.Contains(t, body, "This is not the key", each.reason)
		require.NotContains(t, body, shown, each.reason)
		status, _ = p.get("/scan")
		require.Equal(t, http.StatusUnauthorized, status, each.reason)
	}
}

// Each key lets in one phone. Looking at its page does not spend it.
func TestDoorOnePhoneAKey(t *testing.T) {
	n := newNursery(t)
	key := n.site.Key()
	for range 3 {
		status, body := n.stranger(t).get("/open/" + key)
		require.Equal(t, http.StatusOK, status)
		require.Contains(t, body, `value="`+key+`"`)
	}
	require.Equal(t, key, n.site.Key())
	_, body := n.stranger(t).get("/open/" + otherKey(key))
	require.Contains(t, body, `value="`+otherKey(key)+`"`, "the page does not tell a wrong key from the right one")

	var in atomic.Int32
	var group errgroup.Group
	for range 4 {
		p := n.stranger(t)
		group.Go(func() error {
			answer, err := p.client.PostForm(p.server+"/open", url.Values{"key": {key}})
			if err == nil && answer.StatusCode == http.StatusOK {
				in.Add(1)
			}
			return err
		})
	}
	require.NoError(t, group.Wait())
	require.Equal(t, int32(1), in.Load(), "of four that bring one key at once")
	select {
	case <-n.site.Admitted():
	default:
		require.Fail(t, "nobody is told that a phone is in")
	}
}

// A page that a phone asked for before it was let in opens afterwards, where it is
// a record, and nothing else does.
func TestDoorTarget(t *testing.T) {
	n := newNursery(t)
	status, body := n.stranger(t).get(at(n.stem(t, 4)))
	require.Equal(t, http.StatusUnauthorized, status)
	require.Contains(t, body, `name="target" value="`+at(n.stem(t, 4))[1:]+`"`)
	for _, path := range []string{"/due", "/%22%3E%3Cscript%3E", "/" + strings.Repeat("1", 14)} {
		_, body = n.stranger(t).get(path)
		require.NotContains(t, body, `name="target"`, path)
	}
	_, body = n.stranger(t).post("/open", url.Values{"key": {otherKey(n.site.Key())}, "target": {"//there.example"}})
	require.NotContains(t, body, "there.example")
	for target, wanted := range map[string]string{
		at(n.stem(t, 4))[1:]:                  at(n.stem(t, 4)),
		n.stem(t, 4).String():                 at(n.stem(t, 4)),
		"":                                    "/scan",
		"//there.example":                     "/scan",
		"https://there.example/" + "26306001": "/scan",
		`\\there.example`:                     "/scan",
		"26306-001-0004-53\r\nSet-Cookie: a":  "/scan",
		"/due":                                "/scan",
		"javascript:alert(1)":                 "/scan",
	} {
		p := n.stranger(t)
		p.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
		answer, err := p.client.PostForm(p.server+"/open", url.Values{"key": {n.site.Key()}, "target": {target}})
		require.NoError(t, err)
		_, _ = p.read(answer)
		require.Equal(t, http.StatusSeeOther, answer.StatusCode, target)
		require.Equal(t, wanted, answer.Header.Get("Location"), target)
		require.Len(t, answer.Header.Values("Set-Cookie"), 1, target)
	}
}

// portOf is the port of an address.
func portOf(t testing.TB, address string) string {
	t.Helper()
	parsed, err := url.Parse(address)
	require.NoError(t, err)
	return parsed.Port()
}

// A phone gives the cookies of a machine to all that it serves, whatever their
// ports: a second page there does not throw it out of the first.
func TestDoorPages(t *testing.T) {
	first, second := newNursery(t), newNursery(t)
	p := first.phone(t, "Ida")
	other := second.stranger(t)
	other.client = p.client
	status, _ := other.post("/open", url.Values{"key": {second.site.Key()}})
	require.Equal(t, http.StatusOK, status)
	for _, each := range []*phone{p, other} {
		status, _ = each.get("/scan")
		require.Equal(t, http.StatusOK, status)
	}
}

// What a phone is known by is out of reach of scripts and of other sites.
func TestDoorCookie(t *testing.T) {
	for readOnly, name := range map[bool]string{false: "graftslip-phone-", true: "graftslip-reader-"} {
		n := newNursery(t, func(o *site.Options) { o.ReadOnly = readOnly })
		p := n.stranger(t)
		p.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
		answer, err := p.client.PostForm(p.server+"/open", url.Values{"key": {n.site.Key()}})
		require.NoError(t, err)
		_, _ = p.read(answer)
		require.Len(t, answer.Cookies(), 1)
		cookie := answer.Cookies()[0]
		require.Equal(t, name+portOf(t, p.server), cookie.Name, "a page at another port has one of its own")
		require.True(t, cookie.HttpOnly)
		require.Equal(t, http.SameSiteStrictMode, cookie.SameSite, "no other site posts with it")
		require.Equal(t, "/", cookie.Path)
		require.Empty(t, cookie.Domain, "the machine alone")
		require.False(t, cookie.Secure, "the page has no certificate, and a phone would drop the cookie")
		require.Equal(t, 180*24*60*60, cookie.MaxAge)
		require.Len(t, cookie.Value, 43, "256 bits")
		require.NotContains(t, dump(t, n.book), cookie.Value, "the ledger has a hash of it alone")
		phones, err := n.book.Phones(t.Context())
		require.NoError(t, err)
		require.Equal(t, readOnly, len(phones) == 0)
		for _, phone := range phones {
			require.Len(t, phone.Hash, 64)
			require.NotContains(t, phone.Hash, cookie.Value)
		}
	}
}

// A link of another site, or of a card, brings the cookie along, so an address that
// is opened changes nothing, whatever it says.
func TestLinksChangeNothing(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	said := url.Values{"token": {tokenOf(t, p)}, "key": {strings.Repeat("a", 32)}, "state": {"dead"}, "alive": {"1"}, "note": {"x"}, "place": {"1"}, "name": {"Eva"}}
	key := n.site.Key()
	said.Set("code", at(n.stem(t, 1))[1:])
	before := dump(t, n.book)
	for _, path := range []string{"/", "/scan", "/found", "/due", "/bed", "/open", "/open/" + key, at(n.stem(t, 1)), at(n.stem(t, 1)) + "/log", at(n.stem(t, 1)) + "/tag"} {
		for _, method := range []string{http.MethodGet, http.MethodHead} {
			request, err := http.NewRequestWithContext(t.Context(), method, p.server+path+"?"+said.Encode(), nil)
			require.NoError(t, err)
			request.Header.Set("Sec-Fetch-Site", "cross-site")
			answer, err := p.client.Do(request)
			require.NoError(t, err)
			status, _ := p.read(answer)
			require.Equal(t, http.StatusOK, status, path)
		}
	}
	require.Equal(t, before, dump(t, n.book))
	require.Equal(t, key, n.site.Key())
	phones, err := n.book.Phones(t.Context())
	require.NoError(t, err)
	require.Len(t, phones, 1)
}

// again is another page over the same ledger, as after a restart.
func (n *nursery) again(t testing.TB, change ...func(*site.Options)) *nursery {
	t.Helper()
	return serveNursery(t, &nursery{book: n.book, batches: n.batches, clock: n.clock, troubles: n.troubles}, change...)
}

// A phone is known after a restart, for half a year, and not when it is forgotten.
func TestDoorKnows(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	knows := func(n *nursery) bool {
		here, err := url.Parse(p.server)
		require.NoError(t, err)
		request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, n.server.URL+"/scan", nil)
		require.NoError(t, err)
		request.Host = here.Host // as if it were served at the same port
		for _, cookie := range p.client.Jar.Cookies(here) {
			request.AddCookie(cookie)
		}
		answer, err := n.stranger(t).client.Do(request)
		require.NoError(t, err)
		return answer.StatusCode == http.StatusOK && answer.Body.Close() == nil
	}
	start := n.clock.now()
	require.True(t, knows(n))
	require.True(t, knows(n.again(t)), "after a restart")
	require.False(t, knows(n.again(t, func(o *site.Options) { o.ReadOnly = true })), "by a page that only reads")
	for _, each := range []struct {
		reason string
		after  time.Duration
		known  bool
	}{
		{"in spring", 150 * 24 * time.Hour, true},
		{"a second before half a year", 180*24*time.Hour - time.Second, true},
		{"after half a year", 180 * 24 * time.Hour, false},
		{"much later", 3000 * 24 * time.Hour, false},
	} {
		n.clock.set(start.Add(each.after))
		require.Equal(t, each.known, knows(n), each.reason)
		require.Equal(t, each.known, knows(n.again(t)), "%s, after a restart", each.reason)
	}
	n.clock.set(start)
	require.NoError(t, n.book.ForgetPhones(t.Context()))
	require.False(t, knows(n.again(t)), "forgotten")

	reader := newNursery(t, func(o *site.Options) { o.ReadOnly = true })
	read := reader.phone(t, "Ida")
	p = read
	require.True(t, knows(reader))
	require.False(t, knows(reader.again(t, func(o *site.Options) { o.ReadOnly = true })), "a page that only reads writes down nobody")
	require.False(t, knows(reader.again(t)), "nor does what it gave open the page that writes")
}

// A phone shows a strict cookie to no request that begins outside its browser, such
// as a link that its camera reads. The page asks for the record once more itself.
func TestRecordIsAskedForOnceMore(t *testing.T) {
	n := newNursery(t)
	tray, err := n.batches[0].Code.Tray(1)
	require.NoError(t, err)
	again := `<meta http-equiv="refresh" content="0; url=` + at(tray) + `?again">`
	p := n.stranger(t)
	status, body := p.get(at(tray))
	require.Equal(t, http.StatusUnauthorized, status)
	require.Contains(t, body, again)
	status, body = p.get(at(tray) + "?again")
	require.Equal(t, http.StatusUnauthorized, status)
	require.NotContains(t, body, "http-equiv", "once is enough: it is not let in")
	_, body = p.get("/due")
	require.NotContains(t, body, "http-equiv")
	status, body = n.phone(t, "").get(at(tray) + "?again")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "tray 1 of 2")
}
