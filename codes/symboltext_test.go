package codes_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

func TestFromSymbol(t *testing.T) {
	const want = "26329-004-9001-77"
	for _, test := range []struct{ text, reason string }{
		{"26329004900177", "a code, digits only"},
		{"26329-004-9001-77", "a code as printed"},
		{"]Q126329004900177\r\n", "a scanner's line"},
		{"Fach 26329 004 9001 77, links", "a code among words, as Parse tolerates it"},

		{"26329-004-9001-77 ‘Amber Weathercock’ / ‘Marlpit Hedge’, 60 grafts, tray 1 of 2: stems 1-30", "a record"},
		{"26329-004-9001-77 7 mm", "a record that begins with a number"},
		{"26329-004-9001-77 60 ж", "a letter of another script"},
		{"26329-004-9001-77 by IV; note see HTTPS://NURSERY.EXAMPLE/1", "a record with a link in its note"},
		{"]Q126329-004-9001-77 60 grafts", "a record behind a symbology identifier"},

		{"HTTPS://NURSERY.EXAMPLE:8417/26329004900177", "a link"},
		{"https://nursery.example:8417/26329004900177", "in small letters"},
		{"Http://Nursery.Example/26329-004-9001-77", "http, with hyphens"},
		{"HTTP://192.0.2.17:8417/26329004900177", "an address in numbers"},
		{"http://[2001:db8::17]:8417/26329004900177", "an address in more numbers"},
		{"https://nursery.example/slips/2026/26329004900177", "further down a path"},
		{"https://nursery.example//26329004900177", "an empty part of a path"},
		{"]Q1HTTPS://NURSERY.EXAMPLE:8417/26329004900177", "a link behind a symbology identifier"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.FromSymbol(test.text)
			require.NoError(t, err)
			require.Equal(t, want, code.String())
		})
	}
}

func TestFromSymbolRefuses(t *testing.T) {
	for _, test := range []struct {
		text   string
		want   error
		reason string
	}{
		{"", codes.ErrShape, "empty"},
		{"26329004900178", codes.ErrCheckDigits, "a code with wrong check digits"},

		{"26329-004-9001-78 ‘Amber Weathercock’, 60 grafts", codes.ErrCheckDigits, "a record with wrong check digits"},
		{"26366-004-9001-" + checkOf(t, "263660049001") + " ‘Amber Weathercock’, 60 grafts", codes.ErrDate, "a record with no such day"},
		{"26329-004-9000-" + checkOf(t, "263290049000") + " ‘Amber Weathercock’, 60 grafts", codes.ErrUnit, "a record with no such tray"},
		{"26329004900177 ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record whose code has no hyphens"},
		{"26329 004 9001 77 ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record whose code has spaces"},
		{"26329–004–9001–77 ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record whose code has dashes"},
		{" 26329-004-9001-77 ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record not at the start"},
		{"26329-004-9001-77  ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record with two spaces"},
		{"26329-004-9001-77\t‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record with a tab"},
		{"26329-004-9001-77, ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record with a comma"},
		{"26329-004-9001-771 ‘Amber Weathercock’, 60 grafts", codes.ErrShape, "a record with a digit too many"},
		{"26329-004-9001-77 1", codes.ErrLength, "a digit too many behind a space"},
		{"26329-004-9001-77 26329-004-9002-74", codes.ErrLength, "two codes"},

		{"https://nursery.example/26329004900178", codes.ErrCheckDigits, "a link with wrong check digits"},
		{"https://nursery.example/2632900490017", codes.ErrLength, "a link with 13 digits"},
		{"https://nursery.example/26329004900177/", codes.ErrShape, "a slash behind"},
		{"https://nursery.example/26329004900177/edit", codes.ErrShape, "a path behind"},
		{"https://nursery.example/26329004900177?from=tray", codes.ErrShape, "a query"},
		{"https://nursery.example/?26329004900177", codes.ErrShape, "the code as a query"},
		{"https://nursery.example/?code=/26329004900177", codes.ErrShape, "the code within a query"},
		{"https://nursery.example/#/26329004900177", codes.ErrShape, "the code within a fragment"},
		{"https://nursery.example/26329004900177#top", codes.ErrShape, "a fragment"},
		{"https://nursery.example/26329004900177 ", codes.ErrShape, "a space behind"},
		{"https://nursery.example/26329 004 9001 77", codes.ErrShape, "spaces between"},
		{"https://nursery.example/26329-004-9001-77-", codes.ErrShape, "a hyphen behind"},
		{"https://nursery.example/-26329004900177", codes.ErrShape, "a hyphen before"},
		{"https://nursery.example/code26329004900177", codes.ErrShape, "more in the last part of the path"},
		{"https://nursery.example/]Q126329004900177", codes.ErrShape, "a symbology identifier in the path"},
		{"https://nursery.example/code%2026329004900177", codes.ErrShape, "a space that was escaped"},
		{"https://nursery.example", codes.ErrShape, "no path"},
		{"https://26329004900177", codes.ErrShape, "the code as host"},
		{"https:///26329004900177", codes.ErrShape, "no host"},
		{"https://:8417/26329004900177", codes.ErrShape, "a port without a host"},
		{"https://ida@nursery.example/26329004900177", codes.ErrShape, "a user"},
		{"https://nursery example/26329004900177", codes.ErrShape, "a space in the host"},
		{"https://nursery.example/bänke/26329004900177", codes.ErrShape, "a letter that a link would escape"},
		{"ftp://nursery.example/26329004900177", codes.ErrShape, "another scheme"},
		{"see https://nursery.example/26329004900177", codes.ErrShape, "a word before"},
		{"://nursery.example/26329004900177", codes.ErrShape, "no scheme"},
		{"]Q1]Q1HTTPS://NURSERY.EXAMPLE/26329004900177", codes.ErrShape, "two symbology identifiers"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.FromSymbol(test.text)
			require.Equal(t, test.want, err)
			require.True(t, code.IsZero())
		})
	}
}

func checkOf(t testing.TB, payload string) string { return sealed(t, payload)[12:] }

// FuzzFromSymbol: no text makes FromSymbol panic; a text that it takes is one
// that Parse takes as the same code, or a record that begins with that code; and
// a link ends in it.
func FuzzFromSymbol(f *testing.F) {
	for _, seed := range []string{
		"26329004900177",
		"]Q1 26329 004 9001 77\r\n",
		"26329-004-9001-77 ‘Amber Weathercock’ / ‘Marlpit Hedge’, 60 grafts",
		"26329-004-9001-77 26329-004-9002-74",
		"]d226329-004-9001-77 7 mm",
		"HTTPS://NURSERY.EXAMPLE:8417/26329004900177",
		"http://[2001:db8::17]/slips/26329-004-9001-77",
		"https://nursery.example/26329004900177?from=tray",
		"ftp://nursery.example/26329004900177",
		"://",
		"]Q1",
		"",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		code, err := codes.FromSymbol(s)
		if err != nil {
			require.True(t, code.IsZero())
			require.Contains(t, []error{codes.ErrShape, codes.ErrLength, codes.ErrCheckDigits, codes.ErrDate, codes.ErrUnit}, err)
			return
		}
		body := s
		if len(s) > 3 && s[0] == ']' {
			body = s[3:]
		}
		record := strings.HasPrefix(body, code.String()+" ")
		scheme, _, found := strings.Cut(body, "://")
		link := found && !record && strings.HasPrefix(strings.ToLower(scheme), "http")
		if link {
			last := body[strings.LastIndexByte(body, '/')+1:]
			require.Equal(t, code.Compact(), strings.ReplaceAll(last, "-", ""))
			require.NotContains(t, body, "?")
		}
		if !record && !link {
			parsed, err := codes.Parse(s)
			require.NoError(t, err)
			require.Equal(t, code, parsed)
		}
		for _, again := range []string{code.Compact(), code.String(), code.String() + " tray", "https://h/" + code.Compact()} {
			got, err := codes.FromSymbol(again)
			require.NoError(t, err)
			require.Equal(t, code, got)
		}
	})
}

// symbolTexts returns one text of each kind.
func symbolTexts() []string {
	return []string{
		"26329004900177",
		"26329-004-9001-77 ‘Amber Weathercock’ / ‘Marlpit Hedge’, 60 grafts, tray 1 of 2: stems 1-30",
		"HTTPS://NURSERY.EXAMPLE:8417/26329004900177",
	}
}

func TestFromSymbolAllocations(t *testing.T) {
	for _, text := range symbolTexts() {
		require.Zero(t, testing.AllocsPerRun(100, func() { _, _ = codes.FromSymbol(text) }), text)
	}
}

func BenchmarkFromSymbol(b *testing.B) {
	for _, text := range symbolTexts() {
		b.Run(text[:min(len(text), 24)], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := codes.FromSymbol(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
