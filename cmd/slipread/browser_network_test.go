package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/browser"
)

// waitingHere is how many entries wait on a phone.
func waitingHere(p *browser.Phone) int {
	return browser.Eval[int](p, "Object.keys(localStorage).filter((name) => name.startsWith('slips.waiting.')).length")
}

// untilSent waits for nothing to wait on a phone any more.
func untilSent(p *browser.Phone) {
	p.Until("!Object.keys(localStorage).some((name) => name.startsWith('slips.waiting.'))")
}

// browserCut enters things while the phone has no network: they wait on it,
// outlive the page, and arrive in their order with the time of their entry.
func browserCut(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	tray := h.tray(1)
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(tray))
	entered := h.clock.now()
	p.Network(false)
	p.Type("#alive", "17")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "1 entry waits on this phone")
	p.Type("#growing", "12")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "2 entries wait on this phone")
	p.Tap("button[value='out-of-mist']")
	p.UntilText("#waiting", "3 entries wait on this phone")
	require.Contains(t, p.Text("#waiting"), "17 alive")
	require.Contains(t, p.Text("#waiting"), "12 growing")
	require.Contains(t, p.Text("#waiting"), "tray 1 of 2: out of mist")
	p.Type("#note", "typed and not kept")
	require.Empty(t, h.said(tray))

	// An hour later there is a network again, and the page is opened anew.
	h.clock.set(entered.Add(time.Hour))
	p.Later(time.Hour)
	p.Network(true)
	p.Reload()
	p.UntilText(".past", "out of mist")
	p.Until("document.querySelector('#waiting').hidden")
	require.Equal(t, "typed and not kept", p.Value("#note"), "it outlives the page")
	require.Zero(t, waitingHere(p))
	require.Equal(t, []string{"17 alive", "12 growing", "out of mist"}, h.said(tray))
	for _, entry := range h.entries(tray) {
		require.WithinDuration(t, entered.Add(10*time.Second), entry.At, 20*time.Second, "when it was entered, not when it came")
	}
	require.Empty(t, p.Thrown())
}

// browserComesBack has entries sent by themselves when the network is back,
// on another page than that of the record.
func browserComesBack(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(h.stem(3)))
	p.Network(false)
	p.Tap("button[value='dead']")
	p.UntilText("#waiting", "1 entry waits")
	p.Network(true) // the phone tells the page
	p.UntilText(".saved", "Entry 1 saved")
	require.Equal(t, []string{"1 dead"}, h.said(h.stem(3)))
}

// browserLostAnswer has the computer take entries and their answers lost: each
// is sent again, and stands in the ledger once.
func browserLostAnswer(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	w := newWire(t, s.address())
	p := h.phone(b, s, w.named, "Ivo")
	tray := h.tray(1)
	p.Open(recordAt(tray))
	w.set(wireOneWay)
	p.Type("#dead", "2")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "1 entry waits")
	require.Equal(t, []string{"2 dead"}, h.said(tray), "it has come")
	require.Eventually(t, func() bool { return w.dropped() >= 2 }, 5*time.Second, 20*time.Millisecond, "it is tried again")

	// The computer is started anew meanwhile; it knows the phone.
	w.set(wireCut)
	port := s.port()
	s.end()
	p.Type("#note", "under the leak")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "2 entries wait")
	h.serve("127.0.0.1:" + port)
	h.clock.set(h.clock.now().Add(time.Minute)) // as it went on for the phone
	w.set(wireWhole)
	p.UntilText(".saved", "saved")
	require.Equal(t, []string{"2 dead", "note under the leak"}, h.said(tray))
	require.Equal(t, "Ivo", h.entries(tray)[1].By)
	require.Zero(t, waitingHere(p))
}

// browserNoAnswer has a computer that takes what is sent and does not
// answer: the phone says so before it gives up.
func browserNoAnswer(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	w := newWire(t, s.address())
	p := h.phone(b, s, w.named, "")
	p.Open(recordAt(h.stem(1)))
	w.set(wireSilent)
	p.Tap("button[value='alive']")
	p.UntilText("#waiting", "Sending")
	w.set(wireWhole)
	p.Reload()
	p.UntilText(".past", "1 alive")
	require.Equal(t, []string{"1 alive"}, h.said(h.stem(1)))
}

// browserRefusedLater has one of three entries refused when it comes: the
// others are kept, and the refused one is shown with its reason, on any page,
// until it is dropped.
func browserRefusedLater(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	tray := h.tray(1)
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(tray))
	p.Network(false)
	for _, dead := range []string{"1", "30", "2"} {
		p.Type("#dead", dead)
		p.Tap("#counts button.main")
		p.UntilText("#waiting", dead+" dead")
	}
	p.Network(true)
	p.UntilText("#waiting", "Not saved")
	p.UntilText(".past", "2 dead")
	require.Equal(t, []string{"1 dead", "2 dead"}, h.said(tray))
	p.Open("/bed")
	p.UntilText("#waiting", "30 dead")
	require.Contains(t, p.Text("#waiting"), "18 stems", "the reason")
	p.Tap("#waiting a.button")
	p.UntilAt(recordAt(tray))
	require.Equal(t, "30", p.Value("#dead"), "it can be mended")
	p.Tap("#waiting button")
	p.Until("document.querySelector('#waiting').hidden")
	require.Empty(t, p.Value("#dead"), "what was dropped is not typed any more")
	p.Reload()
	p.Until("document.querySelector('#waiting').hidden")
	require.Empty(t, p.Value("#dead"))
	require.Equal(t, []string{"1 dead", "2 dead"}, h.said(tray))
}

// browserForgotten has a phone that the computer does not know any more: its
// entry waits, and is taken when the phone is let in again.
func browserForgotten(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(h.stem(3)))
	port := s.port()
	s.end()
	s = h.serve("127.0.0.1:"+port, "--forget-phones")
	p.Tap("button[value='rooted']")
	p.UntilText("#waiting", "is not let in")
	require.Contains(t, p.Text("#waiting"), "nothing is lost")
	require.Empty(t, h.said(h.stem(3)))
	p.Open(s.openingPath())
	p.Type("#name", "Ivo")
	p.Tap("button.main")
	p.UntilAt("/scan")
	untilSent(p)
	require.Equal(t, []string{"1 rooted"}, h.said(h.stem(3)))
}

// browserPhotoWaits keeps a photo while the computer does not answer.
func browserPhotoWaits(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	photo := h.cardPhoto(pageRenderer(t), h.batches[0], h.tray(1))
	w := newWire(t, s.address())
	p := h.phone(b, s, w.named, "")
	w.set(wireCut)
	p.Upload("#photo", photo)
	p.UntilText("#reading", "The photo is kept")
	w.set(wireWhole)
	p.UntilAt(recordAt(h.tray(1)))
}

// browserClockAhead has a phone whose clock is ahead: its entry has the computer's
// time.
func browserClockAhead(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "")
	h.clock.set(h.clock.now().Add(-time.Hour))
	p.Open(recordAt(h.stem(2)))
	p.Tap("button[value='alive']")
	p.UntilText(".saved", "saved")
	require.WithinDuration(t, h.clock.now(), h.entries(h.stem(2))[0].At, time.Second)
}
