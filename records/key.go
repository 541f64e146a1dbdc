package records

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Key brings names that mean the same to the same form, by which alone names are
// compared and looked up: varieties, stocks, sources and grafters. Letter
// case, the form of an accent, extra spaces, the shape of an apostrophe or hyphen,
// a space after the hybrid sign, and marks around the whole are typing habits, not
// other names.
func Key(name string) string { return unmarked(Folded(name)) }

// Folded is the key of a name with the marks around the whole, if any. Ledgers
// store it for sheets, so its form must not change.
func Folded(name string) string {
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

// Unaccented folds the case of a text and takes the accents off its letters.
func Unaccented(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(cases.Fold().String(text)))
}
