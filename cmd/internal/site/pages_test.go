package site_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/site"
	"graftslip/codes"
	"graftslip/records"
)

// stem, tray and batch are codes of the first batch.
func (n *nursery) stem(t testing.TB, number int) codes.Code {
	t.Helper()
	code, err := n.batches[0].Code.Stem(number)
	require.NoError(t, err)
	return code
}

func (n *nursery) tray(t testing.TB, number int) codes.Code {
	t.Helper()
	code, err := n.batches[0].Code.Tray(number)
	require.NoError(t, err)
	return code
}

// entries is what the ledger holds about the first batch.
func (n *nursery) entries(t testing.TB) []records.HistoryEntry {
	t.Helper()
	history, err := n.book.History(t.Context(), n.batches[0].Code)
	require.NoError(t, err)
	return history.Entries(n.batches[0].Code)
}

// Every address answers with what it is for.
func TestPages(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	batch, tray, stem := n.batches[0].Code, n.tray(t, 2), n.stem(t, 20)
	foreign, err := codes.New(sessionDay(), 77)
	require.NoError(t, err)
	beyond := n.stem(t, 37)
	digits := func(code codes.Code) string { return at(code)[1:] }
	for _, each := range []struct {
		reason, path string
		status       int
		shows        []string
	}{
		{"the first page is the one to scan with", "/", 200, []string{"<h1>Scan</h1>"}},
		{"a batch leads to its trays", at(batch), 200, []string{"Copper Almanac", "whole batch", `href="` + at(tray) + `"`, "House bed 4", "OR", "day 23", `id="counts"`}},
		{"a tray leads to its batch", at(tray), 200, []string{"tray 2 of 2", `href="` + at(batch) + `"`, `name="alive"`, "Print it again"}},
		{"a stem leads to its tray, and is told by one tap", at(stem), 200, []string{"stem 20 of 36", `href="` + at(tray) + `"`, `name="state" value="dead"`}},
		{"a printed code with hyphens", "/" + stem.String(), 200, []string{"stem 20 of 36"}},
		{"a batch that is not in the ledger", at(foreign), 404, []string{"batch 77 of 2026-11-02 is not in the ledger"}},
		{"a stem that its batch does not have", at(beyond), 404, []string{"there is no stem 37; the batch has 36 stems"}},
		{"no page and no code", "/catalogue", 404, []string{"There is no such page, and this is not a valid code"}},
		{"a code with a wrong digit", at(stem)[:14] + string('0'+(at(stem)[14]-'0'+1)%10), 404, []string{"is not a valid code", "Scan again"}},
		{"with too few digits for one", at(stem)[:11], 404, []string{"There is no such page, and this is not a valid code"}},
		{"a typed code goes to its record", "/scan?code=" + digits(stem), 200, []string{"stem 20 of 36"}},
		{"the name of a batch", "/" + n.batches[0].Code.BatchName(), 200, []string{"whole batch"}},
		{"with spaces", "/scan?code=+" + url.QueryEscape(strings.ReplaceAll(stem.String(), "-", " ")), 200, []string{"stem 20 of 36"}},
		{"a scanner that types a link in capitals", "/scan?code=" + url.QueryEscape("HTTP://BED.EXAMPLE:8417/"+digits(stem)), 200, []string{"stem 20 of 36"}},
		{"a link as long as a card takes it", "/scan?code=" + url.QueryEscape("http://bed.example/"+strings.Repeat("a", 160)+"/"+digits(stem)), 200, []string{"stem 20 of 36"}},
		{"a scanner that types all that a card carries", "/scan?code=" + url.QueryEscape(tray.String()+" Copper Almanac / Withy Gate"+strings.Repeat(" and more", 20)), 200, []string{"tray 2 of 2"}},
		{"a damaged code without a plant for it", "/scan?code=26306-001-????-99", 404, []string{"is not a valid code", "type * for a digit that you cannot read"}},
		{"nothing typed", "/scan?code=++", 200, []string{"<h1>Scan</h1>"}},
		{"several codes of a photo", "/found?code=" + digits(tray) + "&code=" + digits(stem) + "&code=" + digits(foreign) + "&code=x&missed=1&missed=99&missed=x", 200,
			[]string{"<h1>2 codes</h1>", "tray 2 of 2", "stem 20 of 36", foreign.String() + " is not in the ledger", "a code was found but not read"}},
		{"the address of a form, opened again", at(stem) + "/log", 200, []string{"stem 20 of 36"}},
		{"of a tag", at(stem) + "/tag", 200, []string{"stem 20 of 36"}},
		{"of nothing", "/catalogue/log", 404, []string{"This is not a valid code"}},
		{"what is due", "/due", 200, []string{"<h1>Due</h1>", "Copper Almanac"}},
		{"what stands under mist", "/bed", 200, []string{"4 trays", "61 plants alive"}},
	} {
		status, body := p.get(each.path)
		require.Equal(t, each.status, status, "%s: %s", each.reason, body)
		for _, shown := range each.shows {
			require.Contains(t, body+shownOn(t, body), shown, each.reason)
		}
		tidy(t, body)
	}
	require.Empty(t, n.troubles.all())
}

// A damaged code shows what it may be, and no more than a person looks through.
func TestPageDamagedCode(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	stem := n.stem(t, 20).String()
	for _, mark := range []string{"?", "*", ".", "#"} {
		typed := stem[:12] + mark + stem[13:]
		status, body := p.get("/scan?code=" + url.QueryEscape(typed))
		require.Equal(t, http.StatusNotFound, status, typed)
		require.Contains(t, body, `href="`+at(n.stem(t, 20))+`"`, typed)
		require.Contains(t, body, "It may be one of these", typed)
	}
	wrong := at(n.stem(t, 20))[1:14] + string('0'+(stem[16]-'0'+1)%10)
	status, body := p.get("/" + wrong) // an address with a wrong digit at its end
	require.Equal(t, http.StatusNotFound, status)
	require.Contains(t, body, "“"+wrong+"” is not a valid code")
	require.Contains(t, body, `href="`+at(n.stem(t, 20))+`"`)
	require.Empty(t, n.troubles.all())
	require.NoError(t, n.book.Close())
	status, body = p.get("/" + wrong)
	require.Equal(t, http.StatusInternalServerError, status)
	require.NotContains(t, body, "database")
	require.Len(t, n.troubles.all(), 1)
}

// A page that only reads shows no form that changes something, and refuses what a
// form would send.
func TestPageReadOnly(t *testing.T) {
	n := newNursery(t, func(o *site.Options) { o.ReadOnly = true })
	p := n.phone(t, "Ida")
	before := dump(t, n.book)
	for _, path := range []string{at(n.batches[0].Code), at(n.tray(t, 1)), at(n.stem(t, 3))} {
		status, body := p.get(path)
		require.Equal(t, http.StatusOK, status)
		require.NotContains(t, body, "<form", path)
		require.Contains(t, body, "view only")
		for _, action := range []string{"/log", "/tag"} {
			status, body = p.post(path+action, url.Values{"token": {formTokenOf(body)}, "key": {strings.Repeat("a", 32)}, "note": {"x"}, "place": {"1"}})
			require.Equal(t, http.StatusForbidden, status)
			require.Contains(t, body, "This page is view only")
		}
	}
	require.Equal(t, before, dump(t, n.book))
}

// formTokenOf is the token that a page gives to its script.
func formTokenOf(body string) string {
	_, after, _ := strings.Cut(body, `<meta name="token" content="`)
	token, _, _ := strings.Cut(after, `"`)
	return token
}

// A batch that is still to be grafted has no form, and takes nothing.
func TestPageBatchAhead(t *testing.T) {
	n := newNursery(t)
	n.clock.set(sessionDay().AddDate(0, 0, -1))
	p := n.phone(t, "Ida")
	status, body := p.get(at(n.batches[0].Code))
	require.Equal(t, http.StatusOK, status)
	require.NotContains(t, body, "data-entry")
	shown := shownOn(t, body)
	require.Contains(t, shown, "To be grafted on 2026-11-02, tomorrow.")
	require.Contains(t, shown, "You can make entries from that day on.")
	for _, untrue := range []string{"Grafted 2026", "day -1", "day 0", "History", "alive"} {
		require.NotContains(t, shown, untrue)
	}
	fields := url.Values{"token": {formTokenOf(body)}, "key": {strings.Repeat("b", 32)}, "alive": {"30"}}
	for _, when := range []string{"", "0", "86400"} {
		fields.Set("ago", when)
		status, body = p.post(at(n.batches[0].Code)+"/log", fields)
		require.Equal(t, http.StatusUnprocessableEntity, status, when)
		require.Contains(t, body, "nothing can be entered before", when)
	}
	require.Empty(t, n.entries(t))
}

// A fault of the ledger is told to whoever looks after it, once, and phones learn
// that there is one and nothing else.
func TestPageLedgerGone(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	_, body := p.get(at(n.stem(t, 1)))
	fields := form(t, body, "counts")
	fields.Set("state", "alive")
	require.NoError(t, n.book.Close())
	told := 0
	for _, each := range []struct {
		reason string
		ask    func() (int, string)
	}{
		{"a record", func() (int, string) { return p.get(at(n.stem(t, 1))) }},
		{"lists", func() (int, string) { return p.get("/due") }},
		{"the bed", func() (int, string) { return p.get("/bed") }},
		{"an entry", func() (int, string) { return p.post(at(n.stem(t, 1))+"/log", fields) }},
		{"a tag", func() (int, string) {
			return p.post(at(n.stem(t, 1))+"/tag", url.Values{"token": fields["token"], "place": {"1"}})
		}},
		{"a key", func() (int, string) { return p.post("/open", url.Values{"key": {n.site.Key()}}) }},
	} {
		status, body := each.ask()
		told++
		require.Equal(t, http.StatusInternalServerError, status, each.reason)
		require.Contains(t, body, "Internal error", each.reason)
		require.NotContains(t, body, "database", each.reason)
		require.Len(t, n.troubles.all(), told, "%s is told once", each.reason)
	}
	require.Contains(t, fmt.Sprint(n.troubles.all()[0]), "closed")
}

// A tag is a PDF, and the ledger notes that it was made.
func TestPageTag(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	_, body := p.get(at(n.stem(t, 3)))
	token := formTokenOf(body)
	for _, wrong := range []string{"", "0", "21", "-1", "1.5", "１", "99999999999999999999", "1;2", "0x1"} {
		status, body := p.post(at(n.stem(t, 3))+"/tag", url.Values{"token": {token}, "place": {wrong}})
		require.Equal(t, http.StatusUnprocessableEntity, status, wrong)
		require.Contains(t, body, "A sheet has positions 1 to 20", wrong)
		require.Contains(t, body, "stem 3 of 36", "the record is there, to try again")
		require.Contains(t, body, `name="place" value="`+wrong[:min(4, len(wrong))]+`"`, wrong)
	}
	answer, err := p.client.PostForm(p.server+at(n.stem(t, 3))+"/tag", url.Values{"token": {token}, "place": {"7"}})
	require.NoError(t, err)
	status, content := p.read(answer)
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, "application/pdf", answer.Header.Get("Content-Type"))
	require.Equal(t, `attachment; filename=tag.pdf`, answer.Header.Get("Content-Disposition"))
	require.Equal(t, fmt.Sprintf("%%PDF %v at 7", n.stem(t, 3)), content)
	reprints, err := n.book.Reprints(t.Context(), n.stem(t, 3))
	require.NoError(t, err)
	require.Len(t, reprints, 1, "only the one that was made")
}
