package forecast

import (
	"strings"
	"unicode"
)

// fold makes names that are equal but for letter case the same: those that
// strings.EqualFold takes for equal, as records.Calendar does.
func fold(name string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for other := unicode.SimpleFold(r); other != r; other = unicode.SimpleFold(other) {
			least = min(least, other)
		}
		return least
	}, name)
}
