package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/browser"
)

// pick chooses a day in a field for one, as the calendar of a phone does.
func pick(p *browser.Phone, selector, day string) {
	browser.Eval[bool](p, "((field) => { field.closest('details').open = true; field.value = '"+day+"'; field.dispatchEvent(new Event('input', { bubbles: true })); return true; })"+
		"(document.querySelector('"+selector+"'))")
}

// browserOtherDay enters what was seen on other days: the day waits on the phone
// with the entry, outlives the page, and stands in the form again where the entry
// is refused.
func browserOtherDay(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	tray := h.tray(1)
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(tray))
	p.Network(false)
	pick(p, "#counts-day", "2026-11-22")
	p.Type("#alive", "17")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "17 alive, on 2026-11-22")
	require.Empty(t, p.Value("#counts-day"), "the next entry is of today")
	require.False(t, p.Has("#counts details[open]"))
	pick(p, "#stages-day", "2026-11-24")
	p.Tap("button[value='out-of-mist']")
	p.UntilText("#waiting", "on 2026-11-24, out of mist")
	pick(p, "#left-day", "2026-11-23") // and it is left there
	p.Network(true)
	p.Reload()
	p.UntilText(".past", "out of mist")
	require.Equal(t, []string{"17 alive", "out of mist"}, h.said(tray))
	for i, noon := range []int{20, 22} {
		require.Equal(t, seasonDay().Add(time.Duration(noon)*24*time.Hour+12*time.Hour), h.entries(tray)[i].At.UTC())
	}
	p.Until("document.querySelector('#left-day').value === '2026-11-23'")
	require.True(t, p.Has("#left details[open]"), "what is typed is seen")

	// Before the tray was taken out nothing says how many of 19 were alive.
	pick(p, "#left-day", "")
	pick(p, "#counts-day", "2026-11-20")
	p.Type("#alive", "19")
	p.Tap("#counts button.main")
	p.UntilText("#waiting .problem", "Not saved")
	require.Contains(t, p.Text("#waiting"), "19 alive, on 2026-11-20")
	require.Equal(t, "2026-11-20", p.Value("#counts-day"))
	require.True(t, p.Has("#counts details[open]"))
	p.Type("#alive", "18")
	p.Tap("#counts button.main")
	p.UntilText(".saved", "Entry 3 saved")
	require.Equal(t, []string{"18 alive", "17 alive", "out of mist"}, h.said(tray), "in the order in which they were seen")
	require.True(t, p.Has("#waiting[hidden]"))

	// A day beyond today is told at its field, which is shown for it.
	pick(p, "#stages-day", "2026-12-24")
	browser.Eval[bool](p, "(document.querySelector('#stages details').open = false, true)")
	p.Tap("button[value=tie-removed]")
	p.Until("document.querySelector('#stages details').open")
	require.Len(t, h.said(tray), 3)
	require.Empty(t, p.Thrown())
}

// browserOtherMachine enters without a script from an address that a browser holds
// for less safe than that of its own machine.
func browserOtherMachine(t *testing.T, b *browser.Browser) {
	if _, err := reachableHosts(t.Context(), "", true); err != nil {
		t.Skip(err)
	}
	h := newHouse(t)
	s := h.serve("127.0.0.1:0", "--lan")
	p := b.Phone(t, s.address(), h.clock.now())
	p.WithoutScript()
	p.Open(s.openingPath())
	p.Tap("button.main")
	require.Eventually(t, func() bool { return strings.Contains(p.HTML(), "Take a photo") }, patience, tick, "%s", p.HTML())
	p.Open(recordAt(h.stem(4)))
	p.Tap("button[value=growing]")
	require.Eventually(t, func() bool { return len(h.said(h.stem(4))) == 1 }, patience, tick, "%s", p.HTML())
}
