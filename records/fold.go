package records

import (
	"strings"
	"unicode"
)

// Folded makes names that are equal but for letter case the same: those that
// strings.EqualFold takes for equal.
func Folded(name string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for other := unicode.SimpleFold(r); other != r; other = unicode.SimpleFold(other) {
			least = min(least, other)
		}
		return least
	}, name)
}
