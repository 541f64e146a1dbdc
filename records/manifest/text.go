package manifest

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// tidy takes white space off the ends, makes one space of white space inside,
// and puts what is left into Unicode normalisation form C.
func tidy(cell string) string {
	return norm.NFC.String(strings.Join(strings.Fields(cell), " "))
}

// characterFault returns what is expected instead when a character cannot
// stand in a name or a text, else "".
func characterFault(r rune) string {
	switch {
	case r == utf8.RuneError:
		return "the character that was lost when the file was made"
	case unicode.IsControl(r):
		return "text without control characters"
	case unicode.Is(unicode.Bidi_Control, r):
		return "text without characters that change the direction of writing"
	case unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector):
		return "text without invisible characters"
	case unicode.Is(unicode.Noncharacter_Code_Point, r):
		return "text without codes that stand for no character"
	case r > 0xFFFF:
		return "characters that can be set on a page, up to U+FFFF"
	}
	return ""
}

// quotationMarks returns the pairs of marks that may enclose a name, each an
// opening and a closing mark. German, Polish, Scandinavian, French and Danish
// usage differ in which mark opens and which closes.
func quotationMarks() [][2]rune {
	return [][2]rune{
		{'\'', '\''}, {'"', '"'}, {'`', '`'}, {'´', '´'}, {'`', '´'}, {'`', '\''},
		{'‘', '’'}, {'“', '”'}, {'‚', '‘'}, {'‚', '’'}, {'„', '“'}, {'„', '”'}, {'’', '’'}, {'”', '”'}, {'‛', '’'},
		{'«', '»'}, {'»', '«'}, {'»', '»'}, {'‹', '›'}, {'›', '‹'}, {'›', '›'}, {'「', '」'}, {'『', '』'},
	}
}

// unquote takes off quotation marks that enclose the whole of a tidied name,
// and the space inside them.
func unquote(name string) string {
	for {
		inner, found := unquoteOnce(name)
		if !found {
			return name
		}
		name = inner
	}
}

func unquoteOnce(name string) (string, bool) {
	opening, first := utf8.DecodeRuneInString(name)
	closing, last := utf8.DecodeLastRuneInString(name)
	if len(name) < first+last {
		return name, false
	}
	for _, pair := range quotationMarks() {
		if opening != pair[0] || closing != pair[1] {
			continue
		}
		inner := strings.TrimSpace(name[first : len(name)-last])
		return inner, !opensInside(inner, opening)
	}
	return name, false
}

// opensInside reports whether a mark inside a name opens a quotation. 'Ada' ×
// 'Ben' begins and ends with marks, yet they are two pairs; in 'Rose d'Ada' the
// inner mark is an apostrophe. A mark opens when a letter follows it and none
// stands before it.
func opensInside(inner string, mark rune) bool {
	runes := []rune(inner)
	for i := 1; i+1 < len(runes); i++ {
		if runes[i] == mark && !unicode.IsLetter(runes[i-1]) && unicode.IsLetter(runes[i+1]) {
			return true
		}
	}
	return false
}

// hybrids writes a hybrid sign where a letter x stands for it: between words
// or before the first.
func hybrids(name string) string {
	if rest, found := strings.CutPrefix(name, "x "); found {
		name = "×" + rest
	}
	return strings.ReplaceAll(name, " x ", " × ")
}
