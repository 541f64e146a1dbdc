package records

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Names are a nursery's decisions about names that could be read in two ways.
type Names struct{ Botanical, Cultivars []string }

// Settle marks the settled names of rows, and returns hints about those still
// in doubt.
func (n Names) Settle(rows []*Draft) (hints []string) {
	s := n.settling()
	known := map[string]settledName{}
	var fancy, latin doubtful
	for _, row := range rows {
		for _, name := range []*string{&row.Variety, &row.Stock} {
			read, is := known[*name]
			if !is {
				read = s.settle(*name)
				known[*name] = read
			}
			*name = read.name
			switch read.doubt {
			case MaybeFancy:
				fancy.add(row.Row, read.name, !is)
			case MaybeLatin:
				latin.add(row.Row, read.name, !is)
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

// Settled marks a name if the nursery has settled it.
func (n Names) Settled(name string) string { return n.settling().settle(name).name }

// settling holds the keys of settled names.
type settling struct{ botanical, cultivars map[string]bool }

func (n Names) settling() settling { return settling{keys(n.Botanical), keys(n.Cultivars)} }

func keys(names []string) map[string]bool {
	all := map[string]bool{}
	for _, name := range names {
		all[Key(name)] = true
	}
	return all
}

// settledName is a name with its mark, if it needs one, and any remaining doubt.
type settledName struct {
	name  string
	doubt Doubt
}

// settle marks a name that would be read differently, if the marks fit.
func (s settling) settle(name string) settledName {
	read, doubt := readName(name)
	if unmarked(name) != name {
		return settledName{name, Certain}
	}
	marked := name
	switch key := Key(name); {
	case s.cultivars[key]:
		marked, doubt = QuotedName(name), Certain
	case s.botanical[key]:
		doubt = Certain
		if read.has(Cultivar) {
			marked = "_" + name + "_"
		}
	}
	if utf8.RuneCountInString(marked) > MaxName {
		marked = name
	}
	return settledName{marked, doubt}
}

// doubtful are names in doubt with their rows.
type doubtful struct {
	rows  Numbers
	names []string
}

func (d *doubtful) add(row int, name string, isNew bool) {
	d.rows = append(d.rows, row)
	if isNew {
		d.names = append(d.names, name)
	}
}

// String lists the rows and up to three of their names.
func (d doubtful) String() string {
	const most = 3
	names := strings.Join(d.names[:min(most, len(d.names))], ", ")
	if more := len(d.names) - most; more > 0 {
		names += fmt.Sprintf(" and %d more", more)
	}
	verb := "is"
	if len(d.names) > 1 {
		verb = "are"
	}
	return fmt.Sprintf("%s: %s %s", Numbers(nil).With(d.rows).Rows(), names, verb)
}
