package site_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/site"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
)

// sessionDay is the graft date of the batches of nursery.
func sessionDay() time.Time { return time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC) }

// nursery is a page over a ledger of its own.
type nursery struct {
	book     *ledger.Ledger
	site     *site.Site
	server   *httptest.Server
	batches  []records.Batch
	clock    *clock
	troubles *troubles
}

// clock is a time that a test sets.
type clock struct {
	mutex sync.Mutex
	time  time.Time
}

func (c *clock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.time
}

func (c *clock) set(to time.Time) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.time = to
}

// troubles are the faults of the machine that a page told.
type troubles struct {
	mutex sync.Mutex
	list  []error
}

func (t *troubles) add(err error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	t.list = append(t.list, err)
}

func (t *troubles) all() []error {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	return t.list
}

// newNursery serves a page over three batches: one in two trays of 18, one in one
// tray, one with markup in its names. It is day 23 after grafting.
func newNursery(t testing.TB, change ...func(*site.Options)) *nursery {
	t.Helper()
	n := &nursery{clock: &clock{time: time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)}, troubles: &troubles{}}
	var err error
	n.book, err = ledger.Open(t.Context(), filepath.Join(t.TempDir(), "ledger.db"), ledger.WithClock(n.clock.now))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, n.book.Close()) })
	issued, err := n.book.Issue(t.Context(), []records.Draft{
		{Date: sessionDay(), Variety: "Copper Almanac", Stock: "Withy Gate", Grafts: 36, TraySize: 18, Source: "House bed 4", Grafter: "OR"},
		{Date: sessionDay(), Variety: "Tallow Moon", Stock: "Withy Gate", Grafts: 20},
		{Date: sessionDay(), Variety: "<b>Bold</b>", Stock: "\"Quote\" & Sons", Grafts: 5, Note: "<script>alert(1)</script>"},
	}, nil)
	require.NoError(t, err)
	for _, one := range issued {
		n.batches = append(n.batches, one.Batch)
	}
	return serveNursery(t, n, change...)
}

// serveNursery serves a page over the ledger of a nursery.
func serveNursery(t testing.TB, n *nursery, change ...func(*site.Options)) *nursery {
	t.Helper()
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, renderer.Close()) })
	options := site.Options{
		Ledger: n.book, Now: n.clock.now, Nursery: "Low Ferry Grafts", ReadPhoto: renderer.File,
		Reprint: func(_ context.Context, r records.Record, place int) (string, []byte, error) {
			return "tag.pdf", fmt.Appendf(nil, "%%PDF %v at %d", r.Code, place), nil
		},
		Positions: func(codes.Code) int { return 20 },
		Report:    n.troubles.add,
	}
	for _, c := range change {
		c(&options)
	}
	n.site, err = site.New(t.Context(), options)
	require.NoError(t, err)
	n.server = httptest.NewServer(n.site.Handler())
	t.Cleanup(n.server.Close)
	return n
}

// phone is a browser without a script.
type phone struct {
	t      testing.TB
	server string
	client *http.Client
}

// stranger is a phone that was not let in.
func (n *nursery) stranger(t testing.TB) *phone {
	t.Helper()
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	return &phone{t, n.server.URL, &http.Client{Jar: jar, Timeout: 30 * time.Second}}
}

// phone is one that was let in.
func (n *nursery) phone(t testing.TB, name string) *phone {
	t.Helper()
	p := n.stranger(t)
	status, _ := p.post("/open", url.Values{"key": {n.site.Key()}, "name": {name}})
	require.Equal(t, http.StatusOK, status)
	return p
}

func (p *phone) get(path string) (status int, body string) {
	p.t.Helper()
	answer, err := p.client.Get(p.server + path)
	require.NoError(p.t, err)
	return p.read(answer)
}

func (p *phone) post(path string, fields url.Values) (status int, body string) {
	p.t.Helper()
	answer, err := p.client.PostForm(p.server+path, fields)
	require.NoError(p.t, err)
	return p.read(answer)
}

func (p *phone) read(answer *http.Response) (status int, body string) {
	p.t.Helper()
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	require.NoError(p.t, err)
	return answer.StatusCode, string(content)
}

// form returns the hidden fields of the form with an id on a page.
func form(t testing.TB, body, id string) url.Values {
	t.Helper()
	_, after, is := strings.Cut(body, `id="`+id+`"`)
	require.True(t, is, "no form %q", id)
	inside, _, _ := strings.Cut(after, "</form>")
	fields := url.Values{}
	for _, found := range regexp.MustCompile(`type="hidden" name="(\w+)" value="([^"]*)"`).FindAllStringSubmatch(inside, -1) {
		fields.Set(found[1], found[2])
	}
	require.NotEmpty(t, fields.Get("token"))
	return fields
}

// at is the address of a unit's record.
func at(code codes.Code) string { return "/" + strings.ReplaceAll(code.String(), "-", "") }
