package records

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Mistyped reports whether a name looks like another with a slip of the keyboard: a
// letter left out, doubled, swapped or exchanged, an accent or a space lost. Names
// that Key takes for the same are not mistyped. Numbers, numerals and single letters
// tell names apart (Lantern 2 and 3, K.12 and K.13, Lantern and Lantern II), so a slip
// in one of them is not seen.
//
// Short words are close to many others, so in them less is taken for a slip.
// TestMistypedRates has the rates.
func Mistyped(name, other string) bool {
	if Key(name) == Key(other) {
		return false
	}
	from, to := plainWords(name), plainWords(other)
	if !slices.Equal(numbering(from, hasDigit), numbering(to, hasDigit)) {
		return false
	}
	if joined := strings.Join(from, ""); joined == strings.Join(to, "") {
		return joined != ""
	}
	if !slices.Equal(numbering(from, isNumbering), numbering(to, isNumbering)) {
		return false
	}
	if len(from) != len(to) { // a space was lost or added
		return Edits(strings.Join(from, " "), strings.Join(to, " ")) <= 2
	}
	sum := 0
	for i := range from {
		edits := Edits(from[i], to[i])
		if edits > slipsIn(from[i], to[i]) {
			return false
		}
		sum += edits
	}
	return sum <= 2
}

// slipsIn is how many edits between two words are taken for slips.
func slipsIn(word, other string) int {
	a, b := []rune(word), []rune(other)
	switch longer := max(len(a), len(b)); {
	case longer >= 7:
		return 2
	case longer >= 5, longer >= 3 && (a[0] == b[0] || min(len(a), len(b)) > 1 && a[0] == b[1] && a[1] == b[0]):
		return 1
	}
	return 0
}

var (
	// wordParts are runs of letters and runs of digits.
	wordParts = regexp.MustCompile(`\p{L}+|\p{N}+`)
	numeral   = regexp.MustCompile(`^([ivx]+|\pL)$`)
)

// plainWords are the words of a name in lower case, without accents; letters and
// digits are words of their own.
func plainWords(name string) []string {
	plain := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) || r == '\'' {
			return -1
		}
		return r
	}, norm.NFD.String(Key(name)))
	return wordParts.FindAllString(plain, -1)
}

// numbering are the words of a kind.
func numbering(words []string, of func(string) bool) []string {
	return slices.DeleteFunc(slices.Clone(words), func(word string) bool { return !of(word) })
}

func hasDigit(word string) bool { return strings.IndexFunc(word, unicode.IsNumber) >= 0 }

func isNumbering(word string) bool { return hasDigit(word) || numeral.MatchString(word) }
