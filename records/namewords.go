package records

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// rank returns the term that denotes a rank as it is printed, "" for another
// word (ICN 24.1, abbreviated by 5A.1: subsp., never ssp.). The point may be
// missing.
func rank(word string) string {
	switch bare := strings.TrimSuffix(word, "."); bare {
	case "subsp", "var", "subvar", "f", "nothosubsp", "nothovar", "convar":
		return bare + "."
	case "ssp":
		return "subsp."
	case "fo", "forma":
		return "f."
	}
	return ""
}

// isSign reports whether a word is a hybrid sign, a letter that stands for one
// (ICN H.3A.2), or the sign of a graft-chimaera.
func isSign(word string) bool { return word == "×" || word == "x" || word == "+" }

// sign returns the sign for a word that is one.
func sign(word string) string {
	if word == "x" {
		return "×"
	}
	return word
}

// isGenus reports whether a word is written as a genus is: Latin letters, the
// first a capital (ICN 20.1).
func isGenus(word string) bool {
	return len(word) > 2 && word[0] >= 'A' && word[0] <= 'Z' && isLower(word[1:])
}

// isLower reports whether a word has only small Latin letters, with the hyphens and
// diaereses of an epithet (ICN 23.1, 60F.1, 60.7).
func isLower(word string) bool {
	return len(word) > 1 && strings.Trim(word, "abcdefghijklmnopqrstuvwxyzëïöü-") == ""
}

// isEpithet reports whether a word after a genus may be an epithet. One that is
// taken from another language may end as it does there; those of cultivated
// species are listed.
func isEpithet(word string) bool {
	if !isLower(word) || len(word) < 3 || isSmall(word) || isRemark(word) {
		return false
	}
	return strings.HasSuffix(word, "um") || strings.ContainsRune("aeioursnx", rune(word[len(word)-1])) ||
		isOneOf(word, " azedarach mahaleb manihot ")
}

// isNothospecies reports whether a word after a hybrid sign is the epithet of
// a hybrid species of the genus before the sign.
func isNothospecies(genus, word string) bool {
	return isEpithet(word) && (genera()[genus] || isLatin(word))
}

// isLatin reports whether a word ends as Latin adjectives and genitives do.
func isLatin(word string) bool {
	for _, ending := range []string{"a", "us", "um", "is", "i", "ae", "ens", "ense", "ans", "oides", "ale", "are", "estre"} {
		if strings.HasSuffix(word, ending) {
			return true
		}
	}
	return false
}

// isSmall reports whether a word may be in lower case within a cultivar's name: the
// others begin with a capital (ICNCP 21.3).
func isSmall(word string) bool {
	return isOneOf(word, " a al am and at au auf aus aux bei da dal das de dei del della dem den der des di do dos du e el en et for from "+
		"i il im in la las le les lo los mit na nad o of on och og para per pod por pour sur te ten ter the to u und van vom von with y z ze zu zum zur ")
}

// isRemark reports whether a word says what kind of plant of a taxon it is.
func isRemark(word string) bool {
	return isOneOf(word, " clone cross hybrid hybrids rootstock seedling seedlings selection species sport stock type ") || isSeedling(word)
}

// isSeedling reports whether a word with a capital says that a stock was raised from seed
// (common practice, no source).
func isSeedling(word string) bool {
	return isOneOf(word, " Seedling Seedlings Sämling Sämlinge Wildling Wildlinge ")
}

// isOneOf reports whether a word stands in a list with a space around each.
func isOneOf(word, list string) bool {
	return !strings.Contains(word, " ") && strings.Contains(list, " "+word+" ")
}

// isFancy reports whether words may be the name of a cultivar: one has a capital, and
// only small words, or an article or preposition with an apostrophe, come before it.
func isFancy(words []string) bool {
	for _, word := range words {
		article, name, found := strings.Cut(strings.ReplaceAll(word, "’", "'"), "'")
		switch {
		case startsName(word), found && len(article) < 3 && startsName(name):
			return true
		case !isSmall(word):
			return false
		}
	}
	return false
}

// startsName reports whether a word begins with a letter that is not small.
func startsName(word string) bool {
	first, _ := utf8.DecodeRuneInString(word)
	return unicode.IsLetter(first) && !unicode.IsLower(first)
}

func startsLower(word string) bool {
	first, _ := utf8.DecodeRuneInString(word)
	return unicode.IsLower(first)
}

// lowered writes a word in lower case with a capital first letter.
func lowered(word string) string {
	_, size := utf8.DecodeRuneInString(word)
	return word[:size] + strings.ToLower(word[size:])
}

// isTrade reports whether a name carries the sign of a trade mark. A trade
// designation is not the name of a cultivar (ICNCP 13.1).
func isTrade(name string) bool {
	return strings.ContainsAny(name, "™®") && !strings.ContainsAny(name, `'’"”`)
}

// isCode reports whether a name is the code of a clone, as rootstocks have
// them: groups of up to four capitals with figures (common practice, no
// source). A group may be one capital with a small letter, and a small letter
// may follow a figure.
func isCode(name string) bool {
	letters, figures := 0, 0
	run := ""
	ends := func() bool {
		ok := len(run) <= 4 && run == strings.ToUpper(run) || len(run) == 2 && !startsLower(run) || len(run) == 1 && figures > 0
		letters += len(run)
		run = ""
		return ok
	}
	for _, r := range name {
		switch {
		case r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z':
			run += string(r)
			continue
		case r >= '0' && r <= '9':
			if !ends() {
				return false
			}
			figures++
		case strings.ContainsRune(" .-/×", r):
			if !ends() {
				return false
			}
		default:
			return false
		}
	}
	return ends() && letters > 0 && figures > 0
}
