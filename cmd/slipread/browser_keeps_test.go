package main

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/browser"
)

// browserOld enters on phones whose browsers lack what newer ones have: nothing is
// lost, nothing kept twice, and nothing that was kept stands in its field again.
func browserOld(t *testing.T, b *browser.Browser) {
	for _, lacking := range []struct{ reason, script string }{
		{"Safari 15.4 and Chrome 103", "delete AbortSignal.timeout; delete AbortSignal.any; delete window.structuredClone; delete Array.prototype.at; delete Object.hasOwn; delete Array.prototype.findLast; delete window.navigation"},
		{"Safari 14", "delete AbortSignal.timeout; delete SubmitEvent.prototype.submitter; delete window.createImageBitmap; delete crypto.randomUUID"},
		{"a phone that keeps nothing", "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError') } })"},
		{"a view that has no store", "Object.defineProperty(window, 'localStorage', { get() { return null } })"},
		{"a phone without room", "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') }"},
	} {
		t.Run(lacking.reason, func(t *testing.T) {
			h := newHouse(t)
			p := h.phone(b, h.serve("127.0.0.1:0"), "", "Ivo")
			p.Before(lacking.script)
			p.Open(recordAt(h.stem(3)))
			p.Tap("button[value='dead']")
			p.UntilText(".saved", "Entry 1 saved")
			p.Open(recordAt(h.tray(1)))
			p.Type("#alive", "17")
			p.Tap("#counts button.main")
			p.UntilText(".saved", "Entry 2 saved")
			require.Equal(t, []string{"1 dead", "17 alive"}, h.said(h.tray(1)))
			require.Empty(t, p.Value("#alive"), "it is kept")
			p.Type("#alive", "99")
			p.Tap("#counts button.main")
			p.UntilText(".problem", "is more than the")
			require.Equal(t, "99", p.Value("#alive"))
			require.Empty(t, p.Thrown())
		})
	}
}

// browserDraft types something and keeps it on no day: on the same day it is there
// again, later it is told, and filled in or dropped only when that is asked for.
func browserDraft(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "Ivo")
	tray := recordAt(h.tray(1))
	typeOn := func(day int, selector, text string) {
		h.clock.set(seasonDay().AddDate(0, 0, day).Add(10 * time.Hour))
		p.Open(tray)
		p.Type(selector, text)
	}
	typeOn(23, "#alive", "17")
	p.Open(tray)
	require.Equal(t, "17", p.Value("#alive"), "on the same day")
	require.False(t, p.Has("#typed:not([hidden])"))

	typeOn(24, "#note", "by the door")
	require.Empty(t, p.Value("#alive"), "of yesterday")
	require.Equal(t, "Typed on 2026-11-25, not saved: 17 alive", p.Text("#typed p"))
	typeOn(25, "#dead", "1")
	require.Empty(t, p.Value("#note"))
	require.Contains(t, p.Text("#typed"), "Typed on 2026-11-25, not saved: 17 alive")
	require.Contains(t, p.Text("#typed"), "Typed on 2026-11-26, not saved: by the door")
	p.Tap("#typed button") // fill it in
	require.Equal(t, []string{"17", "1", ""}, []string{p.Value("#alive"), p.Value("#dead"), p.Value("#note")})
	require.Equal(t, "alive", browser.Eval[string](p, "document.activeElement.id"))
	require.NotContains(t, p.Text("#typed"), "17 alive")
	p.Tap("#typed button + button") // drop it
	require.False(t, p.Has("#typed:not([hidden])"))
	p.Open(tray)
	require.Equal(t, []string{"17", "1", ""}, []string{p.Value("#alive"), p.Value("#dead"), p.Value("#note")})
	require.False(t, p.Has("#typed:not([hidden])"))
	p.Open(recordAt(h.tray(2)))
	require.False(t, p.Has("#typed:not([hidden])"), "it is of the other tray")

	// What was refused is told once, by the box of refused entries.
	p.Open(tray)
	p.Type("#alive", "99")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "Not saved")
	h.clock.set(seasonDay().AddDate(0, 0, 30).Add(10 * time.Hour))
	p.Open(tray)
	require.Contains(t, p.Text("#waiting"), "Not saved")
	require.Empty(t, p.Value("#alive"))
	require.False(t, p.Has("#typed:not([hidden])"))
	p.Tap("#waiting a.button")
	require.Equal(t, "99", p.Value("#alive"), "when it is asked for")
	require.Empty(t, h.said(h.tray(1)))
	require.Empty(t, p.Thrown())
}

// browserClocks has phones whose clocks are wrong, and set while entries wait: times
// are those of the computer, in its zone, and in the order in which they were made.
func browserClocks(t *testing.T, b *browser.Browser) {
	for _, wrong := range []struct {
		reason      string
		before, set time.Duration // how far the clock is off, and how far it is set while the entries wait
		waited      time.Duration // as it is believed
	}{
		{"a clock 400 days behind", -400 * 24 * time.Hour, 0, time.Hour},
		{"a clock years ahead", 9000 * 24 * time.Hour, 0, time.Hour},
		{"set back while they wait", 0, -3 * time.Hour, 0},
		{"set right by months", -100 * 24 * time.Hour, 100 * 24 * time.Hour, 0},
	} {
		t.Run(wrong.reason, func(t *testing.T) {
			h := newHouse(t)
			zone := time.FixedZone("", 13*60*60)
			h.clock.set(time.Date(2026, 11, 26, 0, 30, 0, 0, zone)) // an hour ago it was yesterday
			p := h.phone(b, h.serve("127.0.0.1:0"), "", "Ivo")
			p.Later(wrong.before)
			p.Open(recordAt(h.tray(1)))
			p.Network(false)
			for n := range 3 {
				p.Type("#note", fmt.Sprintf("look %d", n))
				p.Tap("#counts button.main")
				p.UntilText("#waiting", fmt.Sprintf("look %d", n))
			}
			p.Later(time.Hour + wrong.set)
			entered := h.clock.now()
			h.clock.set(entered.Add(time.Hour))
			p.Network(true)
			untilSent(p)
			require.Equal(t, []string{"note look 0", "note look 1", "note look 2"}, h.said(h.tray(1)))
			for _, entry := range h.entries(h.tray(1)) {
				require.WithinDuration(t, h.clock.now().Add(-wrong.waited-10*time.Second), entry.At, 20*time.Second)
				_, offset := entry.At.Zone()
				require.Equal(t, 13*60*60, offset, "the zone of the computer")
			}
			require.Empty(t, p.Thrown())
		})
	}
}

// browserTwoPages enters in two pages of one phone while it is cut off: neither
// loses what the other keeps.
func browserTwoPages(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "Ivo")
	p.Open(recordAt(h.stem(1)))
	p.Network(false)
	p.Tap("button[value='dead']")
	p.UntilText("#waiting", "1 entry waits")
	// The other page wrote after this one had read what waits.
	browser.Eval[bool](p, `(() => {
  const read = Object.keys;
  Object.keys = (of) => {
    const names = read(of);
    if (of === localStorage) {
      Object.keys = read;
      const [name] = names.filter((one) => one.startsWith('slips.waiting.'));
      const entry = { ...JSON.parse(localStorage.getItem(name)), key: 'b'.repeat(32), to: '`+recordAt(h.stem(2))+`/log', turn: 2 };
      entry.fields = entry.fields.map(([field, value]) => [field, field === 'key' ? entry.key : value]);
      localStorage.setItem('slips.waiting.' + entry.key, JSON.stringify(entry));
    }
    return names;
  };
  return true;
})()`)
	p.Type("#note", "soft")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "3 entries wait")
	p.Network(true)
	untilSent(p)
	require.Equal(t, []string{"1 dead", "note soft"}, h.said(h.stem(1)))
	require.Equal(t, []string{"1 dead"}, h.said(h.stem(2)))
}

// answering has a phone hear an answer instead of that of the computer.
func answering(p *browser.Phone, status int, body string) {
	browser.Eval[bool](p, fmt.Sprintf("(window.asked = 0, window.real = window.real || fetch, window.fetch = async () => { window.asked++; return new Response(%q, { status: %d }); }, true)", body, status))
}

// browserBusy sends photos that are not read: one that is good stays, and is read
// again by itself where the computer was only busy.
func browserBusy(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	photo := h.cardPhoto(pageRenderer(t), h.batches[0], h.tray(1))
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "")
	chosen := func() int { return browser.Eval[int](p, "document.querySelector('#photo').files.length") }
	for status, stays := range map[int]int{400: 1, 401: 1, 403: 1, 404: 0, 413: 0, 415: 0, 422: 0, 500: 1} {
		p.Open("/scan")
		answering(p, status, `{"problem": "It is so", "hint": "Do this"}`)
		p.Upload("#photo", photo)
		p.UntilText("#unread", "It is so")
		require.Equal(t, stays, chosen(), status)
		require.Equal(t, stays == 1, browser.Eval[bool](p, "document.querySelector('form[data-photo] button').checkVisibility()"), "%d: it can be read again", status)
	}
	p.Open("/scan")
	answering(p, 503, `{"problem": "Too many photos are being read", "hint": "Try again"}`)
	p.Upload("#photo", photo)
	p.UntilText("#reading", "Too many photos are being read. The photo is kept")
	require.Equal(t, 1, chosen())
	p.Until("window.asked === 2")
	browser.Eval[bool](p, "(window.fetch = window.real, true)")
	p.UntilAt(recordAt(h.tray(1)))
}

// browserTrouble has the computer in trouble: the entry waits, and nobody says that
// it is lost.
func browserTrouble(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "")
	p.Open(recordAt(h.stem(5)))
	answering(p, 500, `{"problem": "Internal error", "hint": "See the messages on the computer that runs slipread serve"}`)
	p.Tap("button[value='dead']")
	p.UntilText("#waiting", "1 entry waits on this phone. Internal error. See the messages on the computer that runs slipread serve")
	require.NotContains(t, p.Text("main"), "not kept")
	answering(p, 200, `{"welcome": "to the network of a guest house"}`)
	p.UntilText("#waiting", "Another page answers at this address")
	require.Equal(t, 1, waitingHere(p))
	browser.Eval[bool](p, "(window.fetch = window.real, true)")
	p.UntilText(".saved", "Entry 1 saved")
}

// browserFocus looks at the box of entries while they are tried again: what is shown
// already stays, with the focus, and is not said anew.
func browserFocus(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "")
	p.Open(recordAt(h.tray(1)))
	p.Type("#alive", "99")
	p.Type("#note", "soft")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "Not saved")
	marked := "[...document.querySelectorAll('[aria-invalid=true]')].map((field) => field.id)"
	require.Equal(t, []string{"alive"}, browser.Eval[[]string](p, marked))
	require.Contains(t, browser.Eval[string](p, "document.getElementById(document.querySelector('#alive').getAttribute('aria-describedby')).innerText"), "99 alive is more than the")
	browser.Eval[bool](p, `(document.querySelector('#waiting [role=alert] button').focus(), window.changes = 0,
  new MutationObserver((all) => { window.changes += all.length; }).observe(document.querySelector('#waiting [role=alert]').parentNode, { childList: true }), true)`)
	p.Network(false)
	browser.Eval[bool](p, "(document.querySelector('button[value=out-of-mist]').form.requestSubmit(document.querySelector('button[value=out-of-mist]')), true)")
	p.UntilText("#waiting", "It will be sent when the computer answers")
	p.Until("waits > 2")
	require.Equal(t, "Discard it", browser.Eval[string](p, "document.activeElement.textContent"))
	require.Zero(t, browser.Eval[int](p, "window.changes"))
	p.Type("#alive", "18")
	require.Empty(t, browser.Eval[[]string](p, marked), "what is mended is not refused")
	p.Tap("#waiting [role=alert] button")
	require.False(t, p.Has("#waiting [role=alert]"))
	require.Equal(t, "main", browser.Eval[string](p, "document.activeElement.id"))
	require.Equal(t, "18", p.Value("#alive"), "what else is typed stays")
}
