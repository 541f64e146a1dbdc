package forecast_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// Two names are folded to one just where strings.EqualFold takes them for equal.
func FuzzFold(f *testing.F) {
	for _, names := range [][2]string{{"Ada Lantern", "ADA lantern"}, {"Kelvin", "\u212aelvin"}, {"ΑΣ", "ας"}, {"straße", "STRASSE"}, {"İ", "i"}, {"ſ", "S"}, {"", "x"}} {
		f.Add(names[0], names[1])
	}
	f.Fuzz(func(t *testing.T, a, b string) {
		if !utf8.ValidString(a) || !utf8.ValidString(b) {
			t.Skip() // names are valid when they come out of a manifest or a ledger
		}
		require.Equal(t, strings.EqualFold(a, b), records.Folded(a) == records.Folded(b), "%q, %q", a, b)
		require.Equal(t, records.Folded(a), records.Folded(records.Folded(a)))
		require.Equal(t, records.Folded(strings.ToUpper(a)) == records.Folded(a), strings.EqualFold(strings.ToUpper(a), a), "%q", a)
	})
}
