package records

import (
	"slices"
	"strings"
)

// Name is the name of a plant in the parts that are set differently. Joined,
// they are the name as a label has it.
type Name []Part

// Part is a piece of a name. Its text has the space before the next part.
type Part struct {
	Text string
	Kind PartKind
}

// PartKind is how a part of a name is set.
type PartKind uint8

// The kinds of parts.
const (
	// Upright is what stands between or beside names: ×, +, ranks, authors, clone
	// codes, other words.
	Upright PartKind = iota
	// Latin is a genus or an epithet, set in italics.
	Latin
	// Cultivar is the name of a cultivar, upright in single quotation marks
	// (International Code of Nomenclature for Cultivated Plants 2016, article 14.1;
	// memory). Its text has the marks.
	Cultivar
)

func (n Name) String() string {
	var text strings.Builder
	for _, part := range n {
		text.WriteString(part.Text)
	}
	return text.String()
}

// ParseName takes a name apart. The name of a cultivar gets single quotation
// marks; botanical names, clone codes, trade designations and what begins in
// lower case get none. A name that is enclosed in single quotation marks is a
// cultivar whatever its words, one between underscores is botanical.
func ParseName(name string) Name {
	read, _ := readName(name)
	return read
}

// Quoted writes a name as a label has it.
func Quoted(name string) string { return ParseName(name).String() }

// Pair writes a scion on its rootstock, separated by a diagonal bar (American
// Pomological Society, Fruit Varieties and Horticultural Digest 15(1):15,
// 1960).
func Pair(variety, stock string) string { return Quoted(variety) + " / " + Quoted(stock) }

// Doubt is how else a name could be read.
type Doubt uint8

// The doubts about a name.
const (
	Certain    Doubt = iota
	MaybeFancy       // it is read as botanical and may be the name of a cultivar
	MaybeLatin       // it is read as the name of a cultivar and may begin with its genus
)

// QuotedName takes the quotation marks off a name. It keeps single ones if the
// name would be read differently without them.
func QuotedName(name string) string {
	if read, doubt := readName(name); read.has(Cultivar) && doubt == Certain {
		return name
	}
	return "'" + name + "'"
}

func (n Name) has(kind PartKind) bool {
	return slices.ContainsFunc(n, func(part Part) bool { return part.Kind == kind })
}
