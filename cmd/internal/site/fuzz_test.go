package site_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// FuzzEntryForm sends the form of an entry with any fields, of a phone that was let
// in. The answer is never a fault of the machine, never holds what could run, and
// what is kept is what an entry may say.
func FuzzEntryForm(f *testing.F) {
	n := newNursery(f)
	p := n.phone(f, "Ida")
	here, err := url.Parse(p.server)
	if err != nil {
		f.Fatal(err)
	}
	cookie := p.client.Jar.Cookies(here)[0]
	token := tokenOf(f, p)
	key := strings.Repeat("a", 32)
	for _, seed := range []string{
		"alive=17&dead=1&key=" + key, "state=dead&key=" + strings.Repeat("b", 32), "move=out-of-mist&key=" + strings.Repeat("c", 32),
		"left=sold&number=3&key=" + strings.Repeat("d", 32), "corrects=1&key=" + strings.Repeat("e", 32), "note=%3Cscript%3E&at=2026-11-24T10%3A00%3A00%2B14%3A00&key=" + strings.Repeat("f", 32),
		"alive=-1&growing=%EF%BC%91&rooted=99999999999999999999", "%zz=;&&==&key", "alive=1&alive=2&key=x&key=" + key, "note=" + strings.Repeat("n", 200), "at=0000-01-01T00%3A00%3A00Z&note=x&key=" + strings.Repeat("0", 32),
	} {
		for unit := range uint8(3) {
			f.Add(unit, seed)
		}
	}
	f.Fuzz(func(t *testing.T, unit uint8, fields string) {
		path := at(n.batches[0].Code)
		switch unit % 3 {
		case 1:
			path = at(n.tray(t, 1+int(unit)%2))
		case 2:
			path = at(n.stem(t, 1+int(unit)%36))
		}
		answer := n.direct(t, address(1), http.MethodPost, path+"/log", "token="+token+"&"+fields, cookie)
		if answer.Code >= 500 || len(n.troubles.all()) > 0 {
			t.Fatalf("%d, %v: %q", answer.Code, n.troubles.all(), fields)
		}
		if err := guarded(answer.Header()); err != nil {
			t.Fatal(err)
		}
		if answer.Code != http.StatusSeeOther {
			if err := foul(answer.Body.String()); err != nil {
				t.Fatalf("%v: %q", err, fields)
			}
			return
		}
		if to := answer.Header().Get("Location"); !strings.HasPrefix(to, path+"?saved=") {
			t.Fatalf("it leads to %q", to)
		}
		entries := n.entries(t)
		if last := entries[len(entries)-1]; last.By != "Ida" || len([]rune(last.Note)) > 120 || last.At.After(n.clock.now()) || strings.ContainsAny(last.Note, "\r\n\x00") {
			t.Fatalf("%q became %+v", fields, last)
		}
	})
}
