package codes_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// randomCodes returns codes of all kinds, the same ones for the same seed.
func randomCodes(t testing.TB, count int, seed uint64) []codes.Code {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 97))
	first := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	made := make([]codes.Code, count)
	for i := range made {
		code := must(t)(codes.New(first.AddDate(0, 0, random.IntN(36525)), 1+random.IntN(codes.MaxBatch)))
		switch random.IntN(5) {
		case 0:
		case 1:
			code = must(t)(code.Tray(1 + random.IntN(codes.MaxTray)))
		default:
			code = must(t)(code.Stem(1 + random.IntN(codes.MaxStem)))
		}
		made[i] = code
	}
	return made
}

// Every single wrong digit and every exchange of two digits, at any distance,
// check digits included, over 1,000 codes: all are found, and all by the check
// digits, not by a date or a unit that happens not to exist.
func TestEverySlipIsFound(t *testing.T) {
	type tally struct{ tested, missed, elsewhere int }
	var wrong, exchanged tally
	try := func(result *tally, digits []byte, code codes.Code) {
		result.tested++
		got, err := codes.Parse(string(digits))
		switch {
		case err == nil && got != code:
			result.missed++
		case err != codes.ErrCheckDigits:
			result.elsewhere++
		}
	}
	made := randomCodes(t, 1000, 1)
	for _, code := range made {
		digits := []byte(code.Compact())
		for i, right := range digits {
			for digit := byte('0'); digit <= '9'; digit++ {
				if digit != right {
					digits[i] = digit
					try(&wrong, digits, code)
				}
			}
			digits[i] = right
			for j := range i {
				if digits[j] != right {
					digits[i], digits[j] = digits[j], digits[i]
					try(&exchanged, digits, code)
					digits[i], digits[j] = digits[j], digits[i]
				}
			}
		}
		require.Equal(t, code.Compact(), string(digits))
	}
	t.Logf("one wrong digit: tested %d, missed %d", wrong.tested, wrong.missed)
	t.Logf("two digits exchanged: tested %d, missed %d", exchanged.tested, exchanged.missed)
	require.Equal(t, len(made)*14*9, wrong.tested)
	require.Greater(t, exchanged.tested, len(made)*14*13/2/2, "more than half of the pairs differ")
	require.Zero(t, wrong.missed)
	require.Zero(t, exchanged.missed)
	require.Zero(t, wrong.elsewhere)
	require.Zero(t, exchanged.elsewhere)
}

// A code comes back from its parts, and from any spelling that Parse promises
// to tolerate.
func TestRoundTrips(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	pick := func(from []string) string { return from[random.IntN(len(from))] }
	outside := []string{"", "", " ", "\ufeff", "\x02", "code ", "Fach: ", "№ ", "(", "\r\n", "–", "'Ida’s Ruby' × "}
	identifiers := []string{"", "]C0", "]Q1", "]d2", "]Z9 "}
	between := []string{"", "", "", "-", " ", " - ", "\t", "\u00a0", "\u00ad", "\u2011", "\u2013", "\u2212", "\u3000"}
	for _, code := range randomCodes(t, 5000, 2) {
		require.Equal(t, code, must(t)(codes.Parse(code.String())))
		require.Equal(t, code, must(t)(codes.Parse(code.Compact())))
		require.Equal(t, code.Compact(), strings.ReplaceAll(code.String(), "-", ""))

		again := must(t)(codes.New(code.Date(), code.Batch()))
		require.Equal(t, again, code.Whole())
		switch code.Kind() {
		case codes.Stem:
			again = must(t)(again.Stem(code.Number()))
		case codes.Tray:
			again = must(t)(again.Tray(code.Number()))
		}
		require.Equal(t, code, again)

		var spelling strings.Builder
		spelling.WriteString(pick(outside) + pick(identifiers) + pick(outside))
		for _, digit := range code.Compact() {
			spelling.WriteRune(digit)
			spelling.WriteString(pick(between))
		}
		spelling.WriteString(pick(outside) + pick(outside))
		got, err := codes.Parse(spelling.String())
		require.NoError(t, err, "%q", spelling.String())
		require.Equal(t, code, got, "%q", spelling.String())
	}
}

// The order of codes is that of their parts.
func TestCompareAgreesWithParts(t *testing.T) {
	made := randomCodes(t, 400, 3)
	rank := func(code codes.Code) int { return int(code.Kind()-codes.Batch)*10000 + code.Number() }
	for i, a := range made {
		for _, b := range made[:i] {
			want := a.Date().Compare(b.Date())
			if want == 0 {
				want = a.Batch() - b.Batch()
			}
			if want == 0 {
				want = rank(a) - rank(b)
			}
			got := codes.Compare(a, b)
			require.Equal(t, want < 0, got < 0, "%v %v", a, b)
			require.Equal(t, want > 0, got > 0, "%v %v", a, b)
			require.Equal(t, want == 0, a == b, "%v %v", a, b)
		}
	}
}
