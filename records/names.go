package records

import (
	"regexp"
	"strings"
)

// Quoted writes a name as a label has it: a cultivar name in single quotation
// marks (International Code of Nomenclature for Cultivated Plants). A name
// that already has quotation marks inside keeps them, made typographic. A
// Latin name, that is a genus with a lower-case epithet, has none, nor has a
// name with a hybrid sign before a word.
func Quoted(name string) string {
	if inner := embeddedQuotes.ReplaceAllString(name, "$1‘$2’$3"); inner != name || strings.Contains(name, "‘") {
		return typographic(inner)
	}
	if hybridSign.MatchString(name) || latinName.MatchString(name) {
		return typographic(name)
	}
	return "‘" + typographic(name) + "’"
}

// Pair writes a scion on its rootstock, separated by a diagonal bar (American
// Pomological Society, Fruit Varieties and Horticultural Digest 15(1):15,
// 1960).
func Pair(variety, stock string) string { return Quoted(variety) + " / " + Quoted(stock) }

var (
	// embeddedQuotes finds a cultivar name in straight quotation marks after
	// other words: Acer palmatum 'Name'.
	embeddedQuotes = regexp.MustCompile(`(^|\s)['"]([^'"]+)['"](\s|$)`)

	// hybridSign takes "Rosa × alba", "×Citroncirus webberi" and a cross of two
	// cultivars.
	hybridSign = regexp.MustCompile(`(^|\s)×`)

	// latinName takes "Rosa multiflora" and "Prunus avium subsp. duracina".
	// Epithets of four letters or fewer are left out: they cannot be told from
	// "de la" in a cultivar's name.
	latinName = regexp.MustCompile(`^\p{Lu}\p{Ll}+ \p{Ll}[\p{Ll}-]{4,}( (subsp|var|f)\. \p{Ll}[\p{Ll}-]+)?$`)
)

// typographic turns a straight apostrophe into a curved one.
func typographic(name string) string { return strings.ReplaceAll(name, "'", "’") }
