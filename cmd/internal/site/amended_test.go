package site_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// The page of a code shows what was amended; that of a void batch says so first, and takes
// neither entries nor prints, also from a page that was loaded before.
func TestAmendedAndVoid(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	tray := n.tray(t, 1)
	amend := func(amending func(records.History) (records.Amendment, error)) {
		t.Helper()
		_, _, err := n.book.Amend(t.Context(), tray, "<MK>", amending)
		require.NoError(t, err)
	}
	amend(func(h records.History) (records.Amendment, error) {
		return h.Amend([]records.Change{{Field: "variety", Is: "Blue <Lantern>"}})
	})
	_, before := p.get(at(tray))
	tidy(t, before)
	require.Contains(t, before, "<h1>‘Blue &lt;Lantern&gt;’ / ")
	require.Contains(t, before, "· &lt;MK&gt;</p>\n<p>variety “Blue &lt;Lantern&gt;”, was “")
	require.NotContains(t, before, "void")

	amend(func(h records.History) (records.Amendment, error) { return h.MakeVoid("scions <never> came") })
	_, after := p.get(at(tray))
	tidy(t, after)
	require.Contains(t, after, "by &lt;MK&gt;: scions &lt;never&gt; came</strong></p>\n<p>It was never made, so nothing can be entered.")
	for _, gone := range []string{`id="state"`, `id="next"`, `id="enter"`, `id="moves"`, `id="history"`, `id="reprint"`} {
		require.Contains(t, before, gone)
		require.NotContains(t, after, gone)
	}
	fields := form(t, before, "counts")
	fields.Set("alive", "3")
	status, body := p.post(at(tray)+"/log", fields)
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "nothing can be entered: the batch has been void since ")
	fields.Set("place", "1")
	status, body = p.post(at(tray)+"/tag", fields)
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "Nothing is printed: the batch has been void since ")
	for _, list := range []string{"/due", "/bed"} {
		_, body := p.get(list)
		require.NotContains(t, body, "Blue")
	}
	_, body = p.get("/found?code=" + tray.Compact())
	require.Contains(t, body, "<span>void, tray 1 of ")

	amend(func(h records.History) (records.Amendment, error) { return h.Undo(true) })
	_, body = p.get(at(tray))
	tidy(t, body)
	require.Contains(t, body, `<li class="gone">`)
	require.Contains(t, body, `id="enter"`)
}
