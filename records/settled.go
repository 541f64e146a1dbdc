package records

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Names are what a nursery has settled about names that could be read in two
// ways.
type Names struct{ Botanical, Cultivars []string }

// Settle marks the names of rows that the nursery has settled, and returns hints
// about those that are left in doubt.
func (n Names) Settle(rows []*Draft) (hints []string) {
	var fancy, latin doubtful
	for _, row := range rows {
		for _, name := range []*string{&row.Variety, &row.Stock} {
			*name = n.settled(*name)
			switch n.doubt(*name) {
			case MaybeFancy:
				fancy.add(row.Row, *name)
			case MaybeLatin:
				latin.add(row.Row, *name)
			}
		}
	}
	if len(fancy.names) > 0 {
		hints = append(hints, fmt.Sprintf("%s printed as botanical; for a cultivar, type '%s'; if it is botanical, list it in the settings under [names]", fancy, fancy.names[0]))
	}
	if len(latin.names) > 0 {
		genus, rest, _ := strings.Cut(latin.names[0], " ")
		hints = append(hints, fmt.Sprintf("%s printed as a cultivar; if %[2]s is its genus, type %[2]s '%[3]s'; if not, type '%[2]s %[3]s'", latin, genus, rest))
	}
	return hints
}

// settled marks a name where it would be read otherwise, if the marks find room.
func (n Names) settled(name string) string {
	settled := name
	switch read, _ := readName(name); {
	case unmarked(name) != name:
	case listed(n.Cultivars, name):
		settled = QuotedName(name)
	case listed(n.Botanical, name) && read.has(Cultivar):
		settled = "_" + name + "_"
	}
	if utf8.RuneCountInString(settled) > MaxName {
		return name
	}
	return settled
}

// doubt is the doubt about a name that is left.
func (n Names) doubt(name string) Doubt {
	if listed(n.Botanical, name) {
		return Certain
	}
	_, doubt := readName(name)
	return doubt
}

func listed(names []string, name string) bool {
	return slices.ContainsFunc(names, func(each string) bool { return Key(each) == Key(name) })
}

// doubtful are names in doubt with their rows.
type doubtful struct {
	rows  Numbers
	names []string
}

func (d *doubtful) add(row int, name string) {
	d.rows = d.rows.With(Numbers{row})
	if !listed(d.names, name) {
		d.names = append(d.names, name)
	}
}

// String names the rows and what stands there, up to three names.
func (d doubtful) String() string {
	const most = 3
	names := strings.Join(d.names[:min(most, len(d.names))], ", ")
	if more := len(d.names) - most; more > 0 {
		names += fmt.Sprintf(" and %d more", more)
	}
	if len(d.rows) == 1 {
		return fmt.Sprintf("row %v: %s is", d.rows, names)
	}
	return fmt.Sprintf("rows %v: %s are", d.rows, names)
}
