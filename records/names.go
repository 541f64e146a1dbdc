package records

import (
	"regexp"
	"strings"
)

// Quoted writes a name as a label has it: a cultivar name in single quotation
// marks (International Code of Nomenclature for Cultivated Plants 2016, article 14.1; memory). A name
// that ends in a part in single quotation marks keeps them there, made
// typographic. No marks are added to a name that is none of a cultivar: a
// genus with a lower-case epithet, a hybrid sign before a word, a first letter
// in lower case, or "sp.", "spp." and "cv." for a part.
func Quoted(name string) string {
	if parts := embeddedQuotes.FindStringSubmatch(name); parts != nil {
		return typographic(parts[1]) + " ‘" + typographic(parts[2]) + "’"
	}
	if noCultivar.MatchString(name) || latinName.MatchString(name) {
		return typographic(name)
	}
	return "‘" + typographic(name) + "’"
}

// Pair writes a scion on its rootstock, separated by a diagonal bar (American
// Pomological Society, Fruit Varieties and Horticultural Digest 15(1):15,
// 1960).
func Pair(variety, stock string) string { return Quoted(variety) + " / " + Quoted(stock) }

var (
	// embeddedQuotes finds a cultivar name in quotation marks after other
	// words: Acer palmatum 'Name'.
	embeddedQuotes = regexp.MustCompile(`^(.*\S) ['‘](.+)['’]$`)

	// noCultivar takes "Rosa × alba", "×Citroncirus webberi", a cross of two
	// cultivars, "seedling" and "Fagus sp.".
	noCultivar = regexp.MustCompile(`(^|\s)×|^\p{Ll}|\s(sp|spp|cv)\.(\s|$)`)

	// latinName takes "Rosa multiflora" and "Prunus avium subsp. duracina".
	// Epithets of four letters or fewer are left out: they cannot be told from
	// "de la" in a cultivar's name.
	latinName = regexp.MustCompile(`^\p{Lu}\p{Ll}+ \p{Ll}[\p{Ll}-]{4,}( (subsp|var|f)\. \p{Ll}[\p{Ll}-]+)?$`)
)

// typographic turns a straight apostrophe into a curved one.
func typographic(name string) string { return strings.ReplaceAll(name, "'", "’") }
