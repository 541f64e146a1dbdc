package codes_test

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// FuzzParse: no text makes Parse panic; a text that it takes holds exactly the
// code's digits, once a symbology identifier before them is set aside, and
// nothing between them but what separates; and the code comes back from both
// of its spellings.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"26329-004-0017-63",
		"26329004001763",
		"]Q1 26329 004 0017 63\r\n",
		"\ufeffcode: 26329–004–0017–63.",
		"26329-004-9002-74",
		"]C0]C026329004001763",
		"26329-004-0O17-63",
		"26329-004-0017-4",
		"２６３２９００４００１７６３",
		"]é126329004001763",
		"\xff26329\xa0004001763",
		"",
	} {
		f.Add(seed)
	}
	var (
		identifier = regexp.MustCompile(`^([^0-9]*?\][A-Za-z])[0-9]`)
		noDigits   = regexp.MustCompile(`[^0-9]+`)
		// What may stand between the first digit and the last, in the words of
		// Unicode's properties: controls and spaces that are white, and dashes.
		between = regexp.MustCompile(`^[^0-9]*[0-9](?:[\t-\r \x{85}\p{Z}\p{Pd}\x{AD}\x{2212}]*[0-9]){13}[^0-9]*$`)
		numbers = regexp.MustCompile(`\pN`)
	)
	f.Fuzz(func(t *testing.T, s string) {
		code, err := codes.Parse(s)
		if err != nil {
			require.True(t, code.IsZero())
			require.Contains(t, []error{codes.ErrShape, codes.ErrLength, codes.ErrCheckDigits, codes.ErrDate, codes.ErrUnit}, err)
			return
		}
		rest := identifier.ReplaceAllString(s, "$1")
		require.Equal(t, code.Compact(), noDigits.ReplaceAllString(rest, ""))
		require.Regexp(t, between, rest)
		require.Len(t, numbers.FindAllString(rest, -1), 14, "no number of another script")
		require.True(t, codes.Valid(code.Compact()))
		for _, spelling := range []string{code.String(), code.Compact()} {
			again, err := codes.Parse(spelling)
			require.NoError(t, err)
			require.Equal(t, code, again)
		}
	})
}
