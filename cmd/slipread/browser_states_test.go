package main

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/testdata/browser"
)

// pageState is a page in one of the states that it can be in.
type pageState struct {
	name string
	at   *browser.Phone
	open func()
}

// show opens the page on a phone of the usual size.
func (s pageState) show() {
	s.at.Screen(browser.Width, browser.Height, 1)
	s.open()
	s.at.Until("document.readyState === 'complete'")
}

// season enters what makes the pages of a house full: counts, moves, a correction,
// and a withdrawn entry.
func (h *house) season() {
	h.t.Helper()
	at := h.clock.now().AddDate(0, 0, -1)
	entry := func(number int, o records.Entry) records.Entry {
		o.Key, o.At, o.By = fmt.Sprintf("%032x", number), at, "Ivo R"
		return o
	}
	h.log(
		entry(1, records.Entry{Unit: h.tray(2), Counts: records.Counts{Alive: records.Said(17), Growing: records.Said(13), Dead: records.Said(1)}, Note: longName("soft")}),
		entry(2, records.Entry{Unit: h.tray(2), Moves: records.Moves{Sold: 2}}),
		entry(3, records.Entry{Unit: h.tray(2), Corrects: 2}),
		entry(4, records.Entry{Unit: h.stem(20), Counts: records.Counts{Growing: records.Said(1)}, Note: "two shoots"}),
		entry(5, records.Entry{Unit: h.batches[1].Code, Counts: records.Counts{Alive: records.Said(18)}, Moves: records.Moves{OutOfMist: true, Culled: 1}}),
	)
}

// pageStates are all pages in all their states.
func pageStates(t *testing.T, b *browser.Browser) []pageState {
	t.Helper()
	h, empty := newHouse(t), houseOf(t, records.Draft{Date: seasonDay(), Variety: "Last Ferry", Stock: "Quay Briar", Grafts: 4})
	h.season()
	empty.log(records.Entry{Key: strings.Repeat("e", 32), At: empty.clock.now(), Unit: empty.batches[0].Code, Moves: records.Moves{OutOfMist: true, Sold: 4}})
	s := h.serve("127.0.0.1:0", "--nursery", "Low Ferry Grafts")
	reading := h.serve("127.0.0.1:0", "--read-only")
	gone := empty.serve("127.0.0.1:0")
	p, reader, none := h.phone(b, s, "", "Ivo R"), h.phone(b, reading, "", "Guest"), empty.phone(b, gone, "", "")
	grown := ratedHouse(t)
	rater := grown.phone(b, grown.serve("127.0.0.1:0"), "", "Ivo R")
	stranger := b.Phone(t, s.named(), h.clock.now())
	large := houseOf(t,
		records.Draft{Date: seasonDay(), Variety: longName("Overlong"), Stock: longName("Wide"), Grafts: 240, TraySize: 12},
		records.Draft{Date: seasonDay().AddDate(0, 0, 4), Variety: "Slate Minuet", Stock: "Quay Briar", Grafts: 40, TraySize: 20},
	)
	for number := range 40 {
		large.log(records.Entry{Key: fmt.Sprint(number), Unit: large.batches[1].Code, At: large.clock.now().AddDate(0, 0, number/4-10), Note: fmt.Sprintf("look %d", number)})
	}
	many := large.phone(b, large.serve("127.0.0.1:0"), "", "Ivo R")

	var states []pageState
	add := func(name string, at *browser.Phone, open func()) { states = append(states, pageState{name, at, open}) }
	page := func(name string, at *browser.Phone, path string) { add(name, at, func() { at.Open(path) }) }
	page("open", stranger, s.openingPath())
	add("open refused", stranger, func() {
		stranger.Open("/open")
		stranger.Type("#key", "0000 0000 0000")
		stranger.Type("#name", "Ivo")
		stranger.Tap("button.main")
		stranger.UntilText(".problem", "not the key")
		require.Equal(t, "Ivo", stranger.Value("#name"), "what was typed is there")
	})
	page("not let in", stranger, recordAt(h.tray(1)))
	page("scan", p, "/scan")
	add("no photo", p, func() {
		p.Open("/scan")
		file := filepath.Join(t.TempDir(), "note.txt")
		require.NoError(t, os.WriteFile(file, []byte("no picture"), 0o600))
		p.Upload("#photo", file)
		p.UntilText("#unread", "This picture cannot")
	})
	page("found", p, "/found?"+url.Values{"code": {digits(h.tray(1)), digits(h.stem(20)), digits(h.batches[2].Code), "26001001000000"}, "missed": {"1"}}.Encode())
	damaged := digits(h.stem(20))
	page("damaged code", p, "/scan?code="+url.QueryEscape(damaged[:9]+"*"+damaged[10:]))
	page("no code", p, "/scan?code=12")
	page("names", p, "/scan?code=e")
	page("a name that is near", p, "/scan?code=lanthren+heroon")
	page("mistyped address", p, "/"+damaged[:13]+string('0'+(damaged[13]-'0'+1)%10))
	page("problem", p, "/nothing")
	page("stem without entries", p, recordAt(h.stem(3)))
	page("stem with entries", p, recordAt(h.stem(20)))
	page("tray without entries", p, recordAt(h.tray(1)))
	add("tray with entries", p, func() {
		p.Open(recordAt(h.tray(2)) + "?saved=2")
		browser.Eval[bool](p, "(document.querySelectorAll('details').forEach((one) => { one.open = true; }), true)")
	})
	page("batch with trays", p, recordAt(h.batches[0].Code))
	page("batch out of the mist", p, recordAt(h.batches[1].Code))
	page("longest names", p, recordAt(h.batches[2].Code))
	page("not grafted yet", p, recordAt(h.batches[3].Code))
	add("entry refused without script", p, func() {
		p.Open(recordAt(h.tray(2)))
		p.Type("#alive", "99")
		browser.Eval[bool](p, "(document.querySelector('#counts').submit(), true)")
		p.UntilText(".problem", "is more than the")
		require.Equal(t, "99", p.Value("#alive"))
		browser.Eval[bool](p, "(localStorage.clear(), true)")
	})
	add("entries waiting and refused", p, func() {
		p.Open(recordAt(h.tray(2)))
		p.Type("#dead", "44")
		p.Tap("#counts button.main")
		p.UntilText("#waiting", "Not saved")
		p.Network(false)
		p.Tap("button[value='out-of-mist']")
		p.UntilText("#waiting", "1 entry waits")
		require.Contains(t, p.Text("#waiting"), "Not saved")
	})
	add("due full", p, func() {
		browser.Eval[bool](p, "(localStorage.clear(), true)")
		p.Network(true)
		p.Open("/due")
	})
	page("bed full", p, "/bed")
	page("long history", many, recordAt(large.batches[1].Code))
	add("typed on earlier days", many, func() {
		many.Open("/due")
		for i, day := range []string{"2026-11-20", "2026-11-21"} {
			browser.Eval[bool](many, fmt.Sprintf("(localStorage.setItem('slips.older.%s/%d', JSON.stringify({ day: %q, key: %q, turn: 0, name: 'slips.older.%s/%d', typed: { alive: '17', note: %q, 'counts-day': '2026-11-19' } })), true)",
				recordAt(large.batches[1].Code), i, day, day, recordAt(large.batches[1].Code), i, longName("soft")))
		}
		many.Open(recordAt(large.batches[1].Code))
		many.UntilText("#typed", "Typed on 2026-11-21, not saved: 17 alive")
	})
	page("due, many trays", many, "/due")
	page("bed, many trays", many, "/bed")
	page("due empty", none, "/due")
	page("bed empty", none, "/bed")
	page("rates full", rater, "/rates")
	page("rates by grafter", rater, "/rates?for=grafter")
	add("rates, what else", rater, func() {
		rater.Open("/rates?for=month")
		rater.Tap("details summary")
	})
	page("rates empty", p, "/rates")
	page("read-only", reader, recordAt(h.tray(2)))
	page("read-only scan", reader, "/scan")
	t.Cleanup(func() {
		for _, one := range []*browser.Phone{p, reader, none, rater, many, stranger} {
			require.Empty(t, one.Thrown(), "no script fails, and the content security policy is kept")
		}
	})
	return states
}
