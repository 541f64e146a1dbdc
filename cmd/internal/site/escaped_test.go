package site_test

import (
	"crypto/md5"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	nethtml "golang.org/x/net/html"

	"graftslip/cmd/internal/site"
)

// markup is what could run on a page that does not escape what it shows.
func markup() []string {
	return []string{
		`<script>x()</script>`, `"><img src=x onerror=x()>`, `' onmouseover='x()`, `</svg><script>x()</script>`, `<!-- <script>`, `</title><script>x()</script>`,
		`javascript:x()`, `{{.Token}}`, `&lt;b&gt;`, "`${x()}`", `<svg/onload=x()>`, `</form><form action=//evil.example>`, `<b>`, `]]><script>x()</script>`, `<a href=//evil.example>`,
	}
}

// What people write on a phone or in a manifest comes out as they wrote it, as
// text, on every page.
func TestMarkupIsText(t *testing.T) {
	for i, text := range markup() {
		n := newNursery(t, func(o *site.Options) { o.Nursery = text })
		p := n.phone(t, text)
		bold := n.batches[2].Code
		stem, err := bold.Stem(2)
		require.NoError(t, err)
		for number, unit := range []string{at(bold), at(stem)} {
			fields := url.Values{"token": {tokenOf(t, p)}, "key": {fmt.Sprintf("%032x", i*10+number)}, "note": {text}}
			status, body := p.post(unit+"/log", fields)
			require.Equal(t, http.StatusOK, status, text)
			tidy(t, body)
			require.Contains(t, shownOn(t, body), "note "+text, "the history shows it as it was written")
			require.Contains(t, shownOn(t, body), " · "+text, "with who wrote it")
			fields.Set("key", "none")
			status, body = p.post(unit+"/log", fields)
			require.Equal(t, http.StatusBadRequest, status)
			tidy(t, body)
			require.Contains(t, html.UnescapeString(body), `name="note" value="`+text+`"`, "a refused form holds it")
		}
		for _, path := range []string{"/scan", "/due", "/bed", at(bold), at(stem), "/found?code=" + at(bold)[1:], "/found?code=" + url.QueryEscape(text) + "&missed=" + url.QueryEscape(text),
			"/scan?code=" + url.QueryEscape(text), "/open/" + url.PathEscape(text), "/open", "/" + url.PathEscape(text), at(bold) + "?saved=" + url.QueryEscape(text), "/" + url.PathEscape(text) + "/log"} {
			_, body := p.get(path)
			tidy(t, body)
			require.NotContains(t, body, "<script>", path)
		}
		_, body := p.get(at(bold))
		require.Contains(t, shownOn(t, body), "‘<b>Bold</b>’ / ‘\"Quote\" & Sons’")
		require.Contains(t, shownOn(t, body), "<script>alert(1)</script>")
		status, body := n.stranger(t).post("/open", url.Values{"key": {text}, "name": {text}, "target": {text}})
		require.Equal(t, http.StatusForbidden, status)
		tidy(t, body)
		require.Empty(t, n.troubles.all())
	}
}

// What cannot be seen does not come into the ledger by a phone: neither what breaks
// lines nor what turns the direction of writing.
func TestUnseenIsLeftOut(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "I\u202ed\x00a\r\nX-Evil: a")
	for written, kept := range map[string]string{
		"soft\r\nrot":                     "soft rot",
		"\u202eevil\u202c":                "evil",
		"a\x00b\x1b[31mc":                 "ab[31mc",
		"\u2066x\u2069\u200b\ufeffy":      "xy",
		"\xff\xfeok":                      "ok",
		"e\u0301":                         "é",
		"  many   spaces\u00a0here\u2003": "many spaces here",
		"日本 ναι да":                       "日本 ναι да",
		strings.Repeat("é", 120):          strings.Repeat("é", 120),
	} {
		key := fmt.Sprintf("%x", md5.Sum([]byte(written)))
		status, body := p.post(at(n.stem(t, 1))+"/log", url.Values{"token": {tokenOf(t, p)}, "key": {key}, "note": {written}})
		require.Equal(t, http.StatusOK, status, "%q: %s", written, body)
		last := n.entries(t)[len(n.entries(t))-1]
		require.Equal(t, kept, last.Note, "%q", written)
		require.Equal(t, "Ida X-Evil: a", last.By)
	}
}

// shownOn is the text of a page, as a person reads it.
func shownOn(t testing.TB, body string) string {
	t.Helper()
	top, err := nethtml.Parse(strings.NewReader(body))
	require.NoError(t, err)
	var text strings.Builder
	for node := range top.Descendants() {
		if node.Type == nethtml.TextNode {
			text.WriteString(node.Data)
		}
	}
	return text.String()
}
