package codes_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// sealed puts the check digits behind twelve digits, whatever they say.
func sealed(t testing.TB, payload string) string {
	t.Helper()
	require.Len(t, payload, 12)
	check, err := codes.CheckDigits(payload)
	require.NoError(t, err)
	return payload + check
}

func TestParseTolerates(t *testing.T) {
	const want = "26329-004-0017-63"
	for _, test := range []struct{ text, reason string }{
		{"26329-004-0017-63", "as printed"},
		{"26329004001763", "as in a symbol"},
		{"26329 004 0017 63", "spaces"},
		{"2 6 3 2 9 0 0 4 0 0 1 7 6 3", "a space between all digits"},
		{"26329 - 004 - 0017 - 63", "spaces and hyphens together"},
		{"26329\t004\v0017\f63", "tabs"},
		{"26329-004\r\n-0017-63", "broken over two lines"},
		{"26329\u00a0004\u202f0017\u300063", "no-break, narrow and ideographic spaces"},
		{"26329\u2003004\u20090017\u200a63", "em, thin and hair spaces"},
		{"26329\u0085004\u20280017\u202963", "the other line ends"},
		{"26329\u2010004\u20110017\u201263", "hyphen, no-break hyphen, figure dash"},
		{"26329\u2013004\u20140017\u201563", "en dash, em dash, horizontal bar"},
		{"26329\u2212004\u2e3a0017\ufe6363", "minus sign, two-em dash, small hyphen"},
		{"26329\u00ad004\uff0d0017\ufe5863", "soft hyphen, full-width hyphen, small em dash"},
		{"  26329-004-0017-63\r\n", "white space around, a scanner's line end"},
		{"\ufeff26329-004-0017-63", "byte order mark"},
		{"\x0226329004001763\x03", "control characters STX and ETX"},
		{"\x1d26329004001763\x1e\x04", "group and record separators"},
		{"code: 26329-004-0017-63", "a word before"},
		{"26329-004-0017-63, bench by the door", "words behind"},
		{"«26329-004-0017-63»", "quotation marks"},
		{"Veredelung № 26329-004-0017-63 ✓", "words of any script"},
		{"--26329-004-0017-63--", "hyphens outside"},
		{"]C026329004001763", "symbology identifier, Code 128"},
		{"]Q126329004001763", "symbology identifier, QR"},
		{"]d226329004001763", "symbology identifier, Data Matrix"},
		{"]C0 26329-004-0017-63", "symbology identifier and a space"},
		{"\ufeff]Q1\x0226329004001763\x03\r", "everything at once"},
		{"gate ]Q1 code 26329-004-0017-63 end", "symbology identifier among words"},
		{"\xff\xfe26329-004-0017-63\xff", "bytes that are no text, outside the digits"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.Parse(test.text)
			require.NoError(t, err)
			require.Equal(t, want, code.String())
		})
	}
}

func TestParseRefuses(t *testing.T) {
	for _, test := range []struct {
		text   string
		want   error
		reason string
	}{
		{"", codes.ErrShape, "empty"},
		{"   ", codes.ErrShape, "blank"},
		{"no code here", codes.ErrShape, "no digit at all"},
		{"]Q1", codes.ErrShape, "nothing but a symbology identifier"},
		{"26329-004-0017-63 1", codes.ErrLength, "one more digit behind a space"},
		{"26329-004-0017-4", codes.ErrLength, "13 digits"},
		{"26329-004-0017-631", codes.ErrLength, "15 digits"},
		{"026329-004-0017-63", codes.ErrLength, "a leading zero more, which the check digits would not notice"},
		{"4", codes.ErrLength, "one digit"},
		{strings.Repeat("9", 400), codes.ErrLength, "more digits than a number holds"},
		{"26329-004-0017-63 26329-004-0018-60", codes.ErrLength, "two codes"},
		{"]Q1]Q126329004001763", codes.ErrLength, "two symbology identifiers"},
		{"]126329004001763", codes.ErrLength, "a symbology identifier without its letter"},
		{"]Qa26329004001763", nil, "a bracket and two letters are only words"},
		{"]é126329004001763", codes.ErrLength, "a symbology identifier with a letter of another alphabet"},

		{"26329-004-0O17-63", codes.ErrShape, "the letter O"},
		{"26329-004-00l7-63", codes.ErrShape, "the letter l"},
		{"26329_004_0017_63", codes.ErrShape, "low lines"},
		{"26329.004.0017.63", codes.ErrShape, "full stops"},
		{"26329/004/0017/63", codes.ErrShape, "slashes"},
		{"26329+004-0017-63", codes.ErrShape, "a plus sign"},
		{"26329-004-0017-63.0", codes.ErrShape, "a number of a spreadsheet"},
		{"2.6329004E+13", codes.ErrShape, "a rounded number of a spreadsheet"},
		{"26329-004-0017-63 row 3", codes.ErrShape, "another number behind"},
		{"row 3: 26329-004-0017-63", codes.ErrShape, "another number before"},
		{"26329004001763]C0", codes.ErrShape, "a symbology identifier behind"},
		{"26329\x1d004001763", codes.ErrShape, "a control character between"},
		{"26329\ufeff004001763", codes.ErrShape, "a byte order mark between"},
		{"26329\u200b004001763", codes.ErrShape, "a zero-width space, which is no white space"},
		{"26329\xa0004001763", codes.ErrShape, "a byte that is no text between"},
		{"२६३२९-००४-००१७-६३", codes.ErrShape, "digits of another script"},
		{"２６３２９００４００１７６３", codes.ErrShape, "full-width digits"},
		{"26329-004-0017-63 ½", codes.ErrShape, "a fraction behind"},
		{"② 26329-004-0017-63", codes.ErrShape, "a number in a circle before"},
		{"26329-004-001763²", codes.ErrShape, "a raised number"},

		{"26329-004-0017-64", codes.ErrCheckDigits, "wrong check digits"},
		{"26329-004-0071-63", codes.ErrCheckDigits, "two digits exchanged"},
		{"26239-004-0017-63", codes.ErrCheckDigits, "two digits exchanged in the date"},
		{"00000-000-0000-00", codes.ErrCheckDigits, "all zeros"},

		{sealed(t, "263290005000"), codes.ErrUnit, "batch 000"},
		{sealed(t, "263290049000"), codes.ErrUnit, "unit 9000, neither stem nor tray"},
		{sealed(t, "260000040017"), codes.ErrDate, "day 000"},
		{sealed(t, "263660040017"), codes.ErrDate, "day 366 of a common year"},
		{sealed(t, "243670040017"), codes.ErrDate, "day 367 of a leap year"},
		{sealed(t, "269990040017"), codes.ErrDate, "day 999"},
		{sealed(t, "000000000000"), codes.ErrDate, "all zeros with check digits that fit"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.Parse(test.text)
			// Bare: equal, not only wrapped.
			require.Equal(t, test.want, err)
			if test.want != nil {
				require.True(t, code.IsZero())
			}
		})
	}
}

// Of all characters there are, the digits of a code are separated by white
// space (Unicode's White_Space), dashes (Pd), the minus sign and the soft
// hyphen; around them anything goes but numbers.
func TestParseEveryCharacter(t *testing.T) {
	between, around := 0, 0
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if !utf8.ValidRune(r) {
			continue
		}
		character := string(r)
		number := unicode.In(r, unicode.Nd, unicode.Nl, unicode.No)
		separator := unicode.In(r, unicode.White_Space, unicode.Pd) || r == 0x2212 || r == 0xAD

		_, err := codes.Parse("26329004" + character + "001763")
		if want := separator; want != (err == nil) {
			t.Fatalf("%U between the digits: %v", r, err)
		}
		_, err = codes.Parse(character + "26329004001763" + character)
		if want := !number; want != (err == nil) {
			t.Fatalf("%U around the digits: %v", r, err)
		}
		if separator {
			between++
		}
		if !number {
			around++
		}
	}
	t.Logf("characters tolerated between the digits: %d, around them: %d", between, around)
}

// A payload of remainder 32, 65 or 0 has a second pair of digits that leaves
// the right remainder: 99 for 02, 00 for 97, 01 for 98.
func TestParseRefusesOtherCheckDigits(t *testing.T) {
	other := map[string]string{"02": "99", "97": "00", "98": "01"}
	seen := map[string]bool{}
	for batch := 1; batch <= codes.MaxBatch; batch++ {
		code := newCode(t, "2026-11-25", batch).Compact()
		payload, check := code[:12], code[12:]
		if wrong, ok := other[check]; ok {
			seen[check] = true
			_, err := codes.Parse(payload + wrong)
			require.Equal(t, codes.ErrCheckDigits, err, payload+wrong)
		}
	}
	require.Len(t, seen, len(other), "each of the three must have been met")
}

// Where a text is wrong in several ways, the first in the documented order is
// told.
func TestParseErrorOrder(t *testing.T) {
	for _, test := range []struct {
		text string
		want error
		also string
	}{
		{"2632x-000-9000-4", codes.ErrShape, "13 digits"},
		{"26000-000-9000-000", codes.ErrLength, "check digits, date and unit"},
		{"26000-000-9000-00", codes.ErrCheckDigits, "date and unit"},
		{sealed(t, "260000009000"), codes.ErrDate, "unit"},
		{sealed(t, "263290009000"), codes.ErrUnit, "nothing else"},
	} {
		t.Run(test.also, func(t *testing.T) {
			_, err := codes.Parse(test.text)
			require.Equal(t, test.want, err)
		})
	}
}

func TestErrors(t *testing.T) {
	all := []error{codes.ErrShape, codes.ErrLength, codes.ErrCheckDigits, codes.ErrDate, codes.ErrUnit}
	for i, err := range all {
		require.NotEmpty(t, err.Error())
		hinter, ok := err.(interface{ Hint() string })
		require.True(t, ok, "%v has advice", err)
		require.NotRegexp(t, `[.\n]$|\n`, hinter.Hint())
		for _, other := range all[i+1:] {
			require.NotErrorIs(t, err, other)
			require.NotEqual(t, err.Error(), other.Error())
		}
	}
}
