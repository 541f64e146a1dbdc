package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/testdata/browser"
)

// browserWithoutScript does all that matters on a phone that runs no script.
func browserWithoutScript(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	renderer := pageRenderer(t)
	s := h.serve("127.0.0.1:0")
	tray := h.tray(1)
	p := b.Phone(t, s.named(), h.clock.now())
	p.WithoutScript()
	seen := func(text string) {
		t.Helper()
		require.Eventually(t, func() bool { return strings.Contains(p.HTML(), text) }, patience, tick, "%s", text)
	}
	p.Open(s.openingPath())
	p.Type("#name", "Ivo")
	p.Tap("button.main")
	seen("Take a photo of a label")
	require.NotContains(t, p.HTML(), `class="script"`, "no script runs")
	p.Upload("#photo", h.cardPhoto(renderer, h.batches[0], tray))
	p.Tap("button.main")
	seen("tray 1 of 2")
	p.Open("/scan")
	p.Type("#code", digits(tray))
	p.Tap("form[method=get] button")
	seen("tray 1 of 2")
	p.Open("/scan")
	p.Type("#name", h.batches[0].Stock)
	p.Tap("form:has(#name) button")
	seen("3 batches") // of four
	p.Tap("a.card[href='" + recordAt(h.batches[0].Code) + "']")
	seen("whole batch")
	p.Open(recordAt(tray))
	p.Type("#alive", "16")
	p.Type("#note", "in the draught")
	p.Tap("#counts button.main")
	seen("Entry 1 saved")
	p.Type("#alive", "99")
	p.Tap("#counts button.main")
	seen("is more than the")
	require.Regexp(t, regexp.MustCompile(`id="alive"[^>]*value="99"`), p.HTML(), "what was typed is there")
	p.Tap("details:has([name=corrects]) summary")
	p.Tap("details[open] button.warn")
	seen("Entry 2 saved")
	require.Equal(t, []string{"16 alive; note in the draught", "undoes entry 1"}, h.said(tray))
	p.Type("#number", "3")
	p.Tap("button[value=sold]")
	seen("Entry 3 saved")
	folder := t.TempDir()
	p.Downloads(folder)
	p.Tap("form[action$='/tag'] button")
	text, _ := readTag(t, renderer, p.Downloaded(folder, reprintName(tray)+".pdf"))
	require.Equal(t, digits(tray), text)
	require.Empty(t, p.Thrown())
}

// browserHandScanner scans on every page, and in fields: the record opens, and
// what was typed stays as it was.
func browserHandScanner(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "Ivo")
	stem := h.stem(9)
	scanned := digits(stem) + "\r"
	for _, from := range []string{"/scan", "/due", "/bed", recordAt(h.tray(1)), recordAt(h.stem(1)), "/found?code=" + digits(h.tray(1)), "/nothing", "/scan?code=12"} {
		p.Open(from)
		p.Keys(scanned)
		p.UntilAt(recordAt(stem))
	}
	for _, field := range []string{"#alive", "#note", "#number", "#place"} {
		p.Open(recordAt(h.tray(1)))
		p.Type(field, "1")
		p.Keys(scanned)
		p.UntilAt(recordAt(stem))
		p.Open(recordAt(h.tray(1)))
		if field != "#place" { // which is of no entry
			require.Equal(t, "1", p.Value(field), field)
		}
	}
	p.Tap("[aria-label='Alive: one more']") // it has the focus now
	p.Keys(scanned)
	p.UntilAt(recordAt(stem))
	p.Open("/scan")
	p.Type("#code", "2630")
	p.Keys(scanned)
	p.UntilAt(recordAt(stem))
	require.Empty(t, h.said(h.tray(1)), "nothing was entered by it")
	p.Open("/due")
	p.Keys("12" + scanned) // somebody had touched the keys
	p.UntilAt(recordAt(stem))
}

// browserReturnKey presses the return key in fields: it takes what was typed, and
// nothing that has a button of its own.
func browserReturnKey(t *testing.T, b *browser.Browser) {
	for _, script := range []bool{true, false} {
		t.Run(fmt.Sprintf("script %v", script), func(t *testing.T) {
			h := newHouse(t)
			s := h.serve("127.0.0.1:0")
			p := h.phone(b, s, "", "Ivo")
			if !script {
				p.WithoutScript()
			}
			p.Open(recordAt(h.stem(4)))
			p.Type("#note", "leaning\r")
			require.Eventually(t, func() bool { return strings.Contains(p.HTML(), "Entry 1 saved") }, patience, tick)
			require.Equal(t, []string{"note leaning"}, h.said(h.stem(4)), "it says nothing of the stem's state")
			p.Open(recordAt(h.tray(2)))
			p.Type("#number", "3\r")
			if script {
				require.True(t, browser.Eval[bool](p, "document.activeElement.value === 'sold'"))
			} else {
				require.Eventually(t, func() bool { return strings.Contains(p.HTML(), "What became of the 3?") }, patience, tick)
			}
			require.Empty(t, h.said(h.tray(2)), "nothing was sold")
		})
	}
}

// browserTwice taps buttons twice, as a wet finger does: it is one entry.
func browserTwice(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(h.stem(5)))
	browser.Eval[bool](p, "(b => (b.click(), b.click(), true))(document.querySelector('button[value=dead]'))")
	p.UntilText(".saved", "Entry 1 saved")
	p.Open(recordAt(h.tray(1)))
	p.Type("#growing", "4")
	browser.Eval[bool](p, "(b => (b.click(), b.click(), true))(document.querySelector('#counts button.main'))")
	p.UntilText(".saved", "Entry 2 saved")
	require.Empty(t, browser.Eval[[]string](p, "Object.keys(localStorage)"))
	require.Equal(t, []string{"1 dead", "4 growing"}, h.said(h.tray(1)))
}

// browserPolicy breaks the content security policy on purpose: it is kept, and
// heard of, or nothing that other tests say of it would be worth anything.
func browserPolicy(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	for _, breach := range []string{
		"document.body.insertAdjacentHTML('beforeend', '<p style=\"color: red\">x</p>')",
		"document.body.append(Object.assign(document.createElement('script'), { textContent: 'window.ran = 1' }))",
		"document.body.append(Object.assign(document.createElement('img'), { src: 'http://localhost:1/x.png' }))",
	} {
		p := b.Phone(t, s.named(), h.clock.now())
		p.Open("/open")
		require.Empty(t, p.Thrown())
		browser.Eval[bool](p, "("+breach+", window.ran !== 1)")
		require.Eventually(t, func() bool { return len(p.Thrown()) > 0 }, patience, tick, breach)
		require.False(t, browser.Eval[bool](p, "window.ran === 1"))
	}
}

// browserLink follows a link to a record from a page of another site, as a link on
// a tray card comes from the camera.
func browserLink(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "Ivo")
	other := httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, _ *http.Request) {
		out.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprintf(out, `<!DOCTYPE html><title>Camera</title><a href="%s%s">the code</a>`, s.named(), recordAt(h.tray(1)))
	}))
	t.Cleanup(other.Close)
	p.Open(strings.Replace(other.URL, "127.0.0.1", "localhost", 1))
	p.Tap("a")
	p.UntilText("main", "tray 1 of 2") // the phone is known, once it is asked again
	p.UntilAt(recordAt(h.tray(1)))

	_, card, err := makerOf(t, "--card-symbol", "link", "--link", s.named()).Reprint(t.Context(), records.Record{Batch: h.batches[0], Code: h.tray(2)}, 1)
	require.NoError(t, err)
	link, _ := readTag(t, pageRenderer(t), card)
	p.Open(strings.Replace(link, "HTTP:", "http:", 1))
	p.UntilText("main", "tray 2 of 2")
	p.UntilAt(recordAt(h.tray(2)))
}
