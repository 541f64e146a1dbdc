package records

import (
	"math/bits"
	"regexp"
	"strings"
	"unicode"
)

// Spelling is a name as Mistyped compares it.
type Spelling struct {
	key     string
	words   []string
	joined  string // the words without spaces
	digits  string // the words of digits
	numbers string // the words that number: digits, numerals and single letters
	letters uint64 // a bit for each that it has
}

// SpellingOf returns the spelling of a name.
func SpellingOf(name string) Spelling {
	s := Spelling{key: Key(name), words: plainWords(name)}
	s.joined = strings.Join(s.words, "")
	for _, r := range s.joined {
		s.letters |= 1 << (r % 64)
	}
	for _, word := range s.words {
		if hasDigit(word) {
			s.digits += word + " "
		}
		if hasDigit(word) || numeral.MatchString(word) {
			s.numbers += word + " "
		}
	}
	return s
}

// Mistyped reports whether a name looks like another with a typing mistake: a letter
// missing, doubled, swapped or replaced, an accent or a space lost. Names with the same
// Key are not mistyped. Numbers, numerals and single letters tell names apart (Lantern 2
// and 3, K.12 and K.13, Lantern and Lantern II), so a mistake in one of them is missed.
//
// Short words are close to many others, so they are allowed fewer mistakes.
// TestMistypedRates has the rates.
func (s Spelling) Mistyped(other Spelling) bool {
	const most = 2 // edits
	switch {
	case s.digits != other.digits, s.key == other.key, bits.OnesCount64(s.letters^other.letters) > 2*most:
		return false
	case s.joined == other.joined:
		return s.joined != ""
	case s.numbers != other.numbers:
		return false
	case len(s.words) != len(other.words): // a space was lost or added
		return Edits(strings.Join(s.words, " "), strings.Join(other.words, " ")) <= most
	}
	sum := 0
	for i, word := range s.words {
		if word == other.words[i] {
			continue
		}
		edits := Edits(word, other.words[i])
		if sum += edits; edits > slipsIn(word, other.words[i]) || sum > most {
			return false
		}
	}
	return true
}

// slipsIn is how many edits between two words count as typing mistakes.
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
	return wordParts.FindAllString(strings.ReplaceAll(Unaccented(Key(name)), "'", ""), -1)
}

func hasDigit(word string) bool { return strings.IndexFunc(word, unicode.IsNumber) >= 0 }
