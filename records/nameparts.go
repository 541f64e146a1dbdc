package records

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The codes that the rules below follow, by article:
//
//   - ICN: International Code of Nomenclature for algae, fungi, and plants 2018.
//     23.1, H.2.1, H.3.1 and 24.1 seen (iapt-taxon.org); 60F.1, H.3A.1 and H.3A.2
//     secondary (quoted in the mailing list tdwg-content, 2010); 5A.1, 20.1, 46.1, 60.7 memory.
//   - ICNCP: International Code of Nomenclature for Cultivated Plants. 13.1 seen in the
//     edition of 2009 (Annex 3 of IP Australia's manual of trade marks); the article on
//     graft-chimaeras secondary (en.wikipedia.org, Graft-chimaera); 14.1 and 21.3 memory,
//     with "How to name a new cultivar" (ishs.org) seen: "always written within single
//     quotation marks (never double quotation marks)".

// readName takes a name apart and reports what else it could be.
func readName(name string) (Name, Doubt) {
	if words := strings.Fields(name); len(words) > 2 && unmarked(name) == name && !isCode(name) {
		if read, found := readFormula(words); found {
			return read, Certain
		}
	}
	return readPlain(name)
}

// readPlain reads a name that is no formula.
func readPlain(name string) (Name, Doubt) {
	bare := unmarked(name)
	switch {
	case bare != name && strings.HasPrefix(name, "_"):
		return latinWords(strings.Fields(bare)), Certain
	case bare != name:
		return Name{cultivar(bare)}, Certain
	case isTrade(name) || isCode(name):
		return Name{upright(name)}, Certain
	}
	if read, found := readQuoted(name); found {
		return read, Certain
	}
	return readWords(strings.Fields(name))
}

// readFormula reads the parents of a cross or of a graft-chimaera (ICN H.2.1;
// ICNCP, graft-chimaeras). Those of a graft-chimaera are botanical: a plus sign
// may also stand in the name of a cultivar.
func readFormula(words []string) (read Name, found bool) {
	from, grafted := 0, false
	for i := 1; i+1 < len(words); i++ {
		if isSign(words[i]) && i > from && !(i-from == 1 && isNothospecies(words[from], words[i+1])) {
			read = read.and(readParent(words[from:i], read)).and(Name{upright(" " + sign(words[i]) + " ")})
			from, found, grafted = i+1, true, grafted || words[i] == "+"
		}
	}
	if !found {
		return nil, false
	}
	read = read.and(readParent(words[from:], read))
	return read, !grafted || !read.has(Cultivar)
}

// readParent reads one side of a formula. An epithet without its genus
// belongs to the genus before it.
func readParent(words []string, before Name) Name {
	if len(words) == 1 && isEpithet(words[0]) && before.has(Latin) {
		return Name{{words[0], Latin}}
	}
	read, _ := readPlain(strings.Join(words, " "))
	return read
}

// quotedInside finds the name of a cultivar in quotation marks after and before
// other words: Acer palmatum 'Name'.
var quotedInside = regexp.MustCompile(`^(?:(.+) )?(?:['‘](\S.*)['’]|["“](\S.*)["”])(?: (\S.*))?$`)

// readQuoted reads a name with marks within.
func readQuoted(name string) (read Name, found bool) {
	if !strings.ContainsAny(name, `'’"”`) {
		return nil, false
	}
	match := quotedInside.FindStringSubmatch(name)
	if match == nil {
		return nil, false
	}
	before, quoted, after := match[1], match[2]+match[3], match[4]
	t, _ := readTaxon(strings.Fields(before))
	switch botanical := t.known && len(t.rest) == 0; {
	case after != "" && (before != "" && !botanical || !startsLower(after)):
		return nil, false // Blythe's "Golden" Hour
	case botanical:
		read = append(t.parts, upright(" "))
	case before != "":
		read = Name{upright(before + " ")}
	}
	read = append(read, cultivar(quoted))
	if after != "" {
		read = append(read, upright(" "+after))
	}
	return read, true
}

// readWords reads a name without marks or signs of a cross.
func readWords(words []string) (Name, Doubt) {
	whole := Name{cultivar(strings.Join(words, " "))}
	if len(words) == 0 {
		return whole, Certain
	}
	t, botanical := readTaxon(words)
	switch {
	case botanical && len(t.rest) == 0:
		if t.sure {
			return t.parts, Certain
		}
		return t.parts, MaybeFancy
	case botanical && t.known && t.hasCultivar():
		return t.parts.and(Name{upright(" "), cultivar(strings.Join(t.rest, " "))}), Certain
	case botanical && t.known && t.hasRemark():
		return t.parts.and(Name{upright(" " + strings.Join(t.rest, " "))}), Certain
	case botanical && t.known && !t.abbreviated && !isSmall(t.rest[0]):
		return whole, MaybeLatin
	case startsLower(words[0]) && !isFancy(words), len(words) == 1 && isSeedling(words[0]):
		return Name{upright(strings.Join(words, " "))}, Certain
	case len(words) > 1 && len(words[0]) > 2 && words[0] == strings.ToUpper(words[0]) && genera()[lowered(words[0])]:
		return whole, MaybeLatin
	}
	return whole, Certain
}

// taxon is the botanical name at the beginning of words.
type taxon struct {
	parts                Name
	rest                 []string // the words after it
	known                bool     // the genus is on the list, or a sign or a rank shows that it is one
	abbreviated, species bool
	sure                 bool // it can be nothing else
}

// readTaxon reads a genus and what belongs to it.
func readTaxon(words []string) (t taxon, found bool) {
	t.rest = words
	t.hybridGenus()
	if len(t.rest) == 0 || !t.known && !genera()[t.rest[0]] && !isGenus(t.rest[0]) {
		return t, false
	}
	t.known = t.known || genera()[t.rest[0]]
	t.sure = len(t.parts) > 0
	t.abbreviated = strings.HasSuffix(t.rest[0], ".")
	t.take(Latin)
	for len(t.rest) > 0 && t.next() {
		t.species = true
	}
	return t, t.species || t.known && !t.abbreviated
}

// hybridGenus reads the sign before a hybrid genus or the genus of a
// graft-chimaera (ICN H.3.1; ICNCP, graft-chimaeras), with or without a space.
func (t *taxon) hybridGenus() {
	if len(t.rest) > 1 && isSign(t.rest[0]) && isGenus(t.rest[1]) {
		t.parts = Name{upright(sign(t.rest[0]) + " ")}
		t.rest, t.known = t.rest[1:], true
		return
	}
	for _, sign := range []string{"×", "+"} {
		if len(t.rest) > 0 && strings.HasPrefix(t.rest[0], sign) && isGenus(t.rest[0][len(sign):]) {
			t.parts = Name{upright(sign)}
			t.rest = append([]string{t.rest[0][len(sign):]}, t.rest[1:]...)
			t.known = true
		}
	}
}

// next reads what names a species of a genus, or a smaller taxon of a species: an
// epithet, one after a hybrid sign (ICN H.3.1) or a rank (ICN 24.1), or "sp.". It
// reports false if there is none.
func (t *taxon) next() bool {
	word, after := t.rest[0], ""
	if len(t.rest) > 1 {
		after = t.rest[1]
	}
	epithet, attached := strings.CutPrefix(word, "×")
	switch {
	case isSign(word) && word != "+" && (t.known && isLower(after) || isNothospecies("", after)):
		t.add(upright(" × "), Part{after, Latin})
		t.rest = t.rest[2:]
	case attached && isLower(epithet):
		t.add(upright(" ×"), Part{epithet, Latin})
		t.rest = t.rest[1:]
	case rank(word) != "" && t.species && isLower(after):
		t.add(upright(" "+rank(word)+" "), Part{after, Latin})
		t.rest = t.rest[2:]
	case !t.species && (word == "sp." || word == "spp."):
		t.add(upright(" " + word))
		t.rest = t.rest[1:]
	case t.known && isEpithet(word):
		t.sure = true
		t.take(Latin)
		return true
	case !t.species && len(word) > 4 && isEpithet(word) && isLatin(word):
		t.take(Latin)
		return true
	default:
		return false
	}
	t.known, t.sure = true, true
	return true
}

// take moves the next word to the parts.
func (t *taxon) take(kind PartKind) {
	space := " "
	if len(t.parts) == 0 || t.parts[len(t.parts)-1].Kind != kind {
		space = ""
	}
	t.add(Part{space + t.rest[0], kind})
	t.rest = t.rest[1:]
}

func (t *taxon) add(parts ...Part) { t.parts = t.parts.and(parts) }

// hasCultivar reports whether the rest is the name of a cultivar of the species,
// rather than those who named the species (ICN 46.1) or a clone code.
func (t *taxon) hasCultivar() bool {
	authors := strings.HasSuffix(t.rest[0], ".") || strings.HasPrefix(t.rest[0], "(") || slices.Contains(t.rest, "ex") || slices.Contains(t.rest, "&")
	return t.species && !authors && !isSeedling(t.rest[0]) && !isCode(strings.Join(t.rest, " ")) && isFancy(t.rest)
}

// hasRemark reports whether the rest is a clone code, authors, or words about
// the plant, such as "seedling". What follows "cv." stands as typed.
func (t *taxon) hasRemark() bool {
	return t.species || t.rest[0] == "cv." || isRemark(t.rest[0]) || isCode(strings.Join(t.rest, " "))
}

// and joins two names. Neighbours of one kind become one part.
func (n Name) and(more Name) Name {
	for _, part := range more {
		if last := len(n) - 1; last >= 0 && n[last].Kind == part.Kind && part.Kind != Cultivar {
			n = append(n[:last:last], Part{n[last].Text + part.Text, part.Kind})
			continue
		}
		n = append(n, part)
	}
	return n
}

func upright(text string) Part  { return Part{typographic(text), Upright} }
func cultivar(name string) Part { return Part{"‘" + typographic(name) + "’", Cultivar} }

// typographic turns a straight apostrophe into a curved one.
func typographic(name string) string { return strings.ReplaceAll(name, "'", "’") }

// latinWords sets signs and ranks upright and all else as Latin.
func latinWords(words []string) (read Name) {
	for i, word := range words {
		kind := Latin
		if isSign(word) || rank(word) != "" || strings.HasSuffix(word, ".") {
			kind = Upright
		}
		if i > 0 {
			word = " " + word
		}
		read = read.and(Name{{word, kind}})
	}
	return read
}

// unmarked takes the marks off a name that is wholly between one pair of them:
// single quotation marks or underscores.
func unmarked(name string) string {
	for _, marks := range [][2]string{{"'", "'"}, {"‘", "’"}, {"_", "_"}} {
		inner, opened := strings.CutPrefix(name, marks[0])
		inner, closed := strings.CutSuffix(inner, marks[1])
		if !opened || !closed || inner == "" || strings.TrimSpace(inner) != inner {
			continue
		}
		first, _ := utf8.DecodeRuneInString(inner)
		mark, _ := utf8.DecodeRuneInString(marks[0])
		if !strings.ContainsRune("'‘_", first) && !OpensInside(inner, mark) {
			return inner
		}
	}
	return name
}

// OpensInside reports whether a mark inside a name opens a quotation. 'Ada' ×
// 'Ben' begins and ends with marks, yet they are two pairs; in 'Rose d'Ada' the
// inner mark is an apostrophe. A mark opens when a letter follows it and none
// stands before it.
func OpensInside(inner string, mark rune) bool {
	runes := []rune(inner)
	for i := 1; i+1 < len(runes); i++ {
		if runes[i] == mark && !unicode.IsLetter(runes[i-1]) && unicode.IsLetter(runes[i+1]) {
			return true
		}
	}
	return false
}
