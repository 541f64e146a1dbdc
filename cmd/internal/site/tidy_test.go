package site_test

import (
	"database/sql"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"graftslip/records/ledger"
)

// dump is all that a ledger holds, row by row, but for the phones of the page.
func dump(t testing.TB, book *ledger.Ledger) string {
	t.Helper()
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: book.Path(), RawQuery: "mode=ro"}).String())
	require.NoError(t, err)
	defer db.Close()
	var tables []string
	rows, err := db.QueryContext(t.Context(), "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('phones') ORDER BY name")
	require.NoError(t, err)
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		tables = append(tables, name)
	}
	require.NoError(t, rows.Err())
	require.Contains(t, tables, "observations")
	var text strings.Builder
	for _, table := range tables {
		rows, err := db.QueryContext(t.Context(), "SELECT * FROM "+table)
		require.NoError(t, err)
		columns, err := rows.Columns()
		require.NoError(t, err)
		for rows.Next() {
			row := make([]any, len(columns))
			into := make([]any, len(columns))
			for i := range row {
				into[i] = &row[i]
			}
			require.NoError(t, rows.Scan(into...))
			fmt.Fprintln(&text, table, row)
		}
		require.NoError(t, rows.Err())
	}
	return text.String()
}

// tidy parses a page and finds what could run there and is not ours, and forms
// and links that lead elsewhere.
func tidy(t testing.TB, body string) {
	t.Helper()
	require.NoError(t, foul(body), "%s", body)
}

// foul says what is foul on a page.
func foul(body string) error {
	top, err := html.Parse(strings.NewReader(body))
	if err != nil {
		return err
	}
	scripts := map[string]bool{}
	for node := range top.Descendants() {
		if node.Type != html.ElementNode {
			continue
		}
		switch node.Data {
		case "script":
			if err := foulScript(node, scripts); err != nil {
				return err
			}
		case "iframe", "object", "embed", "base", "style", "img", "marquee", "b", "i":
			return fmt.Errorf("an element %s, which no template has", node.Data)
		}
		for _, attribute := range node.Attr {
			if err := foulAttribute(node.Data, attribute); err != nil {
				return err
			}
		}
	}
	return nil
}

// foulScript takes the page's own scripts, each once.
func foulScript(node *html.Node, seen map[string]bool) error {
	if node.FirstChild != nil {
		return fmt.Errorf("a script stands in the page")
	}
	source := ""
	for _, attribute := range node.Attr {
		if attribute.Key == "src" {
			source, _, _ = strings.Cut(attribute.Val, "?v=")
		}
	}
	if source != "/assets/kept.js" && source != "/assets/page.js" && source != "/assets/scan.js" {
		return fmt.Errorf("a script from %q", source)
	}
	if seen[source] {
		return fmt.Errorf("the script %s twice", source)
	}
	seen[source] = true
	return nil
}

func foulAttribute(element string, attribute html.Attribute) error {
	own := strings.HasPrefix(attribute.Val, "/") && !strings.HasPrefix(attribute.Val, "//") && !strings.Contains(attribute.Val, `\`)
	switch name := attribute.Key; {
	case strings.HasPrefix(name, "on") || name == "style" || name == "formaction" || name == "srcdoc" || name == "http-equiv" && attribute.Val != "refresh":
		return fmt.Errorf("an attribute %s of %s", name, element)
	case element == "meta" && name == "content" && strings.Contains(attribute.Val, "url=") && !askedAgain(attribute.Val):
		return fmt.Errorf("meta leads to %s", attribute.Val)
	case (name == "href" || name == "src" || name == "action") && !own && attribute.Val != "#main":
		return fmt.Errorf("%s of %s leads to %s", name, element, attribute.Val)
	}
	return nil
}

// askedAgain reports whether a page asks for a record once more, and for nothing else.
func askedAgain(content string) bool {
	return regexp.MustCompile(`^0; url=/[0-9]{14}\?again$`).MatchString(content)
}

// guarded says which header that keeps others out is missing.
func guarded(header http.Header) error {
	for name, wanted := range map[string]string{
		"Content-Security-Policy": "default-src 'none'", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
		"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
	} {
		if !strings.HasPrefix(header.Get(name), wanted) {
			return fmt.Errorf("the header %s is %q", name, header.Get(name))
		}
	}
	if policy := header.Get("Content-Security-Policy"); strings.Contains(policy, "unsafe") || strings.Contains(policy, "*") || !strings.Contains(policy, "frame-ancestors 'none'") {
		return fmt.Errorf("the policy is %s", policy)
	}
	return nil
}

// leaks says which of the machine's own matters an answer holds.
func leaks(body, path string) error {
	for _, secret := range []string{path, "sqlite", "SQL", "SELECT", "INSERT INTO", ".go:", "goroutine ", "runtime.", "panic", "graftslip/"} {
		if strings.Contains(body, secret) {
			return fmt.Errorf("it holds %q", secret)
		}
	}
	return nil
}

// A check that finds nothing would pass anything.
func TestTidyFinds(t *testing.T) {
	for _, bad := range []string{
		`<script>x()</script>`, `<script src="/assets/page.js?v=1"></script><script src="/assets/page.js?v=1"></script>`, `<script src="//there/x.js"></script>`, `<script></script>`, `<script src="/assets/other.js"></script>`, `<script src="/found?v="></script>`,
		`<p onclick="x()">`, `<a href="javascript:x()">`, `<a href="//there">`, `<form action="https://there/">`, `<img src="/x">`, `<base href="/">`, `<svg onload="x()">`, `<b>`,
	} {
		require.Error(t, foul("<!DOCTYPE html>"+bad), bad)
	}
	require.NoError(t, foul(`<!DOCTYPE html><script src="/assets/kept.js?v=1"></script><script src="/assets/page.js?v=1"></script><script src="/assets/scan.js?v=1"></script><a href="/scan">`))
}
