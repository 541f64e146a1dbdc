package records

import (
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Key brings names that mean the same to the same form, by which alone names are
// compared and looked up: varieties, stocks, sources, grafters and sheets. Letter
// case, the form of an accent, extra spaces, the shape of an apostrophe or hyphen,
// and a space after the hybrid sign are typing habits, not other names.
//
// Ledgers store keys, so the form of a key must not change.
func Key(name string) string {
	folded := norm.NFC.String(cases.Fold().String(norm.NFC.String(name)))
	unified := strings.Map(func(r rune) rune {
		switch r {
		case '’', '‘', 'ʼ':
			return '\''
		case '‐', '‑':
			return '-'
		}
		return r
	}, strings.Join(strings.Fields(folded), " "))
	return strings.ReplaceAll(unified, "× ", "×")
}
