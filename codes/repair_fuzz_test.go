package codes_test

import (
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// FuzzRepair: no text makes Repair panic; each candidate is a code whose changes
// lead back to characters that stand in the text one behind the other; Tried has
// words exactly where Repair has something to try.
func FuzzRepair(f *testing.F) {
	for _, seed := range []string{
		"26329-004-0017-63",
		"26329-0?4-00I7-6?",
		"Code: 26329-0?4-00I7-4?",
		"\ufeff]Q1 26329 004 0071 63\r\n",
		"?6329-004-0017-6",
		"2632g-004-00b7-633",
		"226329-004-0017-633",
		"6329-04-0017-63",
		"26329-???-?017-63",
		"OIZSG-BqD-QlsS-bg",
		"]C0]C02632?004001763",
		"26329-0ж4-0017-6_",
		"\xff26329\xa0004001763",
		"|",
		"",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		marks := strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || strings.ContainsRune("0123456789?_|*#", r) {
				return r
			}
			return -1
		}, s)
		tried, failed := codes.Tried(s)
		require.Equal(t, failed == nil, tried != "")
		if failed != nil {
			require.Contains(t, []error{codes.ErrShape, codes.ErrLength, codes.ErrIllegible}, failed)
		}
		whole, err := codes.Parse(s)
		count := 0
		for candidate := range codes.Repair(s) {
			count++
			requireSound(t, candidate, marks)
			if err == nil {
				require.Equal(t, codes.Candidate{Code: whole}, candidate)
			}
		}
		if failed != nil {
			require.Zero(t, count)
		}
		if err == nil {
			require.Equal(t, 1, count)
		}
	})
}
