package main

import (
	"bytes"
	"context"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/testdata/browser"
)

// TestBrowser uses the page as phones do, in a real browser. Without one it is
// skipped.
func TestBrowser(t *testing.T) {
	settings := filepath.Join(t.TempDir(), "settings.toml")
	require.NoError(t, os.WriteFile(settings, nil, 0o600))
	t.Setenv(command.SettingsVariable, settings)
	b := browser.Start(t)
	for _, test := range []struct {
		name string
		run  func(*testing.T, *browser.Browser)
	}{
		{"pages", browserPages}, {"story", browserStory}, {"contradiction", browserContradiction}, {"tag", browserTag},
		{"cut", browserCut}, {"comes back", browserComesBack}, {"lost answer", browserLostAnswer}, {"no answer", browserNoAnswer},
		{"refused later", browserRefusedLater}, {"forgotten", browserForgotten}, {"photo waits", browserPhotoWaits},
		{"clock ahead", browserClockAhead}, {"other day", browserOtherDay}, {"other machine", browserOtherMachine},
		{"without script", browserWithoutScript}, {"hand scanner", browserHandScanner}, {"return key", browserReturnKey}, {"twice", browserTwice}, {"policy", browserPolicy}, {"link", browserLink},
		{"old browser", browserOld}, {"draft", browserDraft}, {"clocks", browserClocks}, {"two pages", browserTwoPages}, {"busy", browserBusy}, {"trouble", browserTrouble}, {"focus", browserFocus},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			test.run(t, b)
		})
	}
}

// patience is how long something may take that comes soon, and tick how often it
// is looked for.
const patience, tick = 10 * time.Second, 20 * time.Millisecond

// seasonDay is the graft date of most batches of a house; its clock begins 23
// days later, in the morning.
func seasonDay() time.Time { return time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC) }

// house is a ledger with a page on it.
type house struct {
	t       *testing.T
	ledger  string
	clock   *setClock
	batches []records.Batch
}

// setClock is the clock of the computer.
type setClock struct {
	mutex sync.Mutex
	time  time.Time
}

func (c *setClock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.time
}

func (c *setClock) set(to time.Time) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.time = to
}

// longName is a name of as many letters as names may have.
func longName(begin string) string { return begin + strings.Repeat("w", 60-len(begin)) }

// newHouse issues batches in a ledger of its own: two trays of 18, one tray, names
// as long as they may be, and one that is not grafted yet.
func newHouse(t *testing.T) *house {
	t.Helper()
	return houseOf(t,
		records.Draft{Date: seasonDay(), Variety: "Lantern Heron", Stock: "Quay Briar", Grafts: 36, TraySize: 18, Source: "House bed 4", Grafter: "OR"},
		records.Draft{Date: seasonDay(), Variety: "Slate Minuet", Stock: "Quay Briar", Grafts: 20},
		records.Draft{Date: seasonDay().AddDate(0, 0, 18), Variety: longName("Overlong"), Stock: longName("Wide"), Grafts: 5, Note: "<script>alert(1)</script> " + longName("")},
		records.Draft{Date: seasonDay().AddDate(0, 0, 28), Variety: "Not Yet", Stock: "Quay Briar", Grafts: 24, TraySize: 12},
	)
}

// houseOf issues batches in a ledger of its own.
func houseOf(t *testing.T, drafts ...records.Draft) *house {
	t.Helper()
	h := &house{t: t, ledger: filepath.Join(t.TempDir(), "ledger.db"), clock: &setClock{time: seasonDay().Add(23*24*time.Hour + 10*time.Hour)}}
	book, err := ledger.Open(t.Context(), h.ledger, ledger.WithClock(h.clock.now))
	require.NoError(t, err)
	defer book.Close()
	issued, err := book.Issue(t.Context(), drafts, nil)
	require.NoError(t, err)
	for _, one := range issued {
		h.batches = append(h.batches, one.Batch)
	}
	return h
}

// book opens the ledger as another program would while the page is served.
func (h *house) book() *ledger.Ledger {
	h.t.Helper()
	book, err := ledger.OpenExisting(context.Background(), h.ledger, ledger.WithClock(h.clock.now))
	require.NoError(h.t, err)
	h.t.Cleanup(func() { require.NoError(h.t, book.Close()) })
	return book
}

// entries are those that a unit has in the ledger.
func (h *house) entries(unit codes.Code) []records.HistoryEntry {
	h.t.Helper()
	history, err := h.book().History(h.t.Context(), unit)
	require.NoError(h.t, err)
	return history.Entries(unit)
}

// said are the entries of a unit in words.
func (h *house) said(unit codes.Code) []string {
	h.t.Helper()
	var words []string
	for _, entry := range h.entries(unit) {
		words = append(words, entry.Words())
	}
	return words
}

// log keeps entries past the page.
func (h *house) log(entries ...records.Entry) {
	h.t.Helper()
	book := h.book()
	for _, entry := range entries {
		_, _, err := book.Log(h.t.Context(), entry)
		require.NoError(h.t, err)
	}
}

// tray is the code of a tray of the first batch.
func (h *house) tray(number int) codes.Code {
	h.t.Helper()
	code, err := h.batches[0].Code.Tray(number)
	require.NoError(h.t, err)
	return code
}

// stem is the code of a stem of the first batch.
func (h *house) stem(number int) codes.Code {
	h.t.Helper()
	code, err := h.batches[0].Code.Stem(number)
	require.NoError(h.t, err)
	return code
}

// digits is a code without its hyphens.
func digits(code codes.Code) string { return strings.ReplaceAll(code.String(), "-", "") }

// recordAt is the address of a record.
func recordAt(code codes.Code) string { return "/" + digits(code) }

// hosted is a page that "slipread serve" runs.
type hosted struct {
	t      *testing.T
	screen *screenText
	ended  chan int
	stop   context.CancelFunc
}

// screenText is what a program wrote on the terminal.
type screenText struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

func (s *screenText) Write(content []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.Write(content)
}

func (s *screenText) String() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.String()
}

// serve runs the program, with flags beside those that a test needs, until the
// test or stop ends it.
func (h *house) serve(address string, flags ...string) *hosted {
	h.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	s := &hosted{t: h.t, screen: &screenText{}, ended: make(chan int, 1), stop: stop}
	arguments := append([]string{"serve", "--addr", address, "--ledger", h.ledger}, flags...)
	go func() {
		s.ended <- program{now: h.clock.now, open: openScan}.run(ctx, arguments, strings.NewReader(""), s.screen, s.screen)
	}()
	h.t.Cleanup(s.end)
	s.openings(1)
	return s
}

// end ends the program and waits for it.
func (s *hosted) end() {
	s.t.Helper()
	s.stop()
	select {
	case status, running := <-s.ended:
		if running {
			require.Zero(s.t, status, s.screen.String())
			close(s.ended)
		}
	case <-time.After(10 * time.Second):
		require.Fail(s.t, "the page does not end")
	}
}

// openings waits for the terminal to have shown so many addresses, and returns them.
func (s *hosted) openings(count int) []string {
	s.t.Helper()
	written := regexp.MustCompile(`(?:this address lets one phone in|the next phone): (http://[^ \n]+/open/\d{12})\n`)
	var found []string
	require.Eventually(s.t, func() bool {
		found = nil
		for _, match := range written.FindAllStringSubmatch(s.screen.String(), -1) {
			found = append(found, match[1])
		}
		return len(found) >= count
	}, 20*time.Second, 10*time.Millisecond, "%s", s.screen)
	return found
}

// opening is the address for the next phone.
func (s *hosted) opening() string {
	s.t.Helper()
	found := s.openings(1)
	return found[len(found)-1]
}

// address is that of the site, without a path.
func (s *hosted) address() string {
	s.t.Helper()
	base, _, _ := strings.Cut(s.opening(), "/open/")
	return base
}

// named is the address by a name that browsers trust no more than that of another
// machine.
func (s *hosted) named() string {
	s.t.Helper()
	return "http://" + net.JoinHostPort(browser.Name, s.port())
}

// openingPath is where the next phone is let in.
func (s *hosted) openingPath() string {
	s.t.Helper()
	return strings.TrimPrefix(s.opening(), s.address())
}

// port is where the site listens.
func (s *hosted) port() string {
	s.t.Helper()
	_, port, err := net.SplitHostPort(strings.TrimPrefix(s.address(), "http://"))
	require.NoError(s.t, err)
	return port
}

// phone lets a phone in that reaches the site at an address, empty for that by name.
func (h *house) phone(b *browser.Browser, s *hosted, base, name string) *browser.Phone {
	h.t.Helper()
	if base == "" {
		base = s.named()
	}
	p := b.Phone(h.t, base, h.clock.now())
	p.Open(s.openingPath())
	p.Type("#name", name)
	p.Tap("button.main")
	p.UntilAt("/scan")
	return p
}
