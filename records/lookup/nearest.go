package lookup

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"graftslip/records"
	"graftslip/records/ledger"
)

// None is the error for a text that no batch has in its names, with advice on the likely
// name.
func (n *Names) None(text string) error {
	advice := didYouMean(n.Nearest(text))
	if advice == "" {
		advice = "give a part of a variety, stock, source, grafter or note, or a code such as 26329-004-0017-63"
	}
	return &Error{NotInLedger, &records.Problem{Text: fmt.Sprintf("no batch has %q in its names", text), Advice: advice}}
}

// Several is the error if one batch is needed: what is wrong, with a list of those found.
func Several(wrong string, found []records.Batch, advice string) error {
	const most = 8
	var list []string
	for _, batch := range found[:min(most, len(found))] {
		list = append(list, fmt.Sprintf("%s %s", batch.Code.BatchName(), records.Pair(batch.Variety, batch.Stock)))
	}
	if len(found) > most {
		list = append(list, "…")
	}
	return &Error{Ambiguous, &records.Problem{Text: wrong + ": " + strings.Join(list, ", "), Advice: advice}}
}

// NoneWanted is the error if no batch is wanted, with advice on the names.
func NoneWanted(all []records.Batch, wanted ledger.Wanted) error {
	var names, advice []string
	for _, each := range []struct {
		what, name string
		alone      ledger.Wanted
		of         func(records.Batch) string
	}{
		{"variety", wanted.Variety, ledger.Wanted{Variety: wanted.Variety}, func(b records.Batch) string { return b.Variety }},
		{"stock", wanted.Stock, ledger.Wanted{Stock: wanted.Stock}, func(b records.Batch) string { return b.Stock }},
	} {
		if each.name == "" {
			continue
		}
		names = append(names, fmt.Sprintf("%s %q", each.what, each.name))
		if slices.ContainsFunc(all, each.alone.Matcher()) {
			continue
		}
		var known []string
		for _, batch := range all {
			known = append(known, each.of(batch))
		}
		mean := didYouMean(nearest(each.name, known))
		if mean == "" {
			mean = fmt.Sprintf("write the %s as on the labels, or find it by a part of any name: slipread NAME", each.what)
		}
		advice = append(advice, mean)
	}
	text := "the ledger has no batch"
	if names != nil {
		text += " of " + strings.Join(names, " and ")
	}
	if !wanted.Date.IsZero() {
		text += " grafted " + wanted.Date.Format(time.DateOnly)
	}
	if advice == nil {
		advice = []string{"leave out one of the options to find more"}
	}
	return &Error{NotInLedger, &records.Problem{Text: text, Advice: strings.Join(advice, " ")}}
}

// didYouMean offers names; "" if there are none.
func didYouMean(names []string) string {
	if len(names) == 0 {
		return ""
	}
	quoted := make([]string, len(names))
	for i, name := range names {
		quoted[i] = fmt.Sprintf("%q", name)
	}
	return "did you mean " + strings.Join(quoted, " or ") + "?"
}

// Nearest returns up to three varieties and stocks that a text most likely means.
func (n *Names) Nearest(text string) []string {
	var names []string
	for _, batch := range n.batches {
		names = append(names, batch.Variety, batch.Stock)
	}
	return nearest(text, names)
}

// nearest returns the names that a text most likely means, if it is not one of them: up to
// three, with the fewest edits; none if more than a third of the letters are wrong.
func nearest(text string, names []string) []string {
	const part, most = 3, 3
	wanted := nameOf(text)
	length := utf8.RuneCountInString(wanted.joined)
	if length > 2*records.MaxName {
		return nil
	}
	least := length / part
	var nearest []string
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		is := nameOf(name)
		edits := editsOfWords(wanted, is)
		if longer := utf8.RuneCountInString(is.joined) - length; -least <= longer && longer <= least {
			edits = min(edits, records.Edits(wanted.joined, is.joined))
		}
		if edits < least {
			nearest = nil
		}
		if edits <= least {
			least, nearest = edits, append(nearest, name)
		}
	}
	return nearest[:min(most, len(nearest))]
}

// editsOfWords counts the edits that turn each word of a name into a word of another.
func editsOfWords(from, to name) int {
	sum := 0
	for word := range strings.FieldsSeq(from.spaced) {
		least := utf8.RuneCountInString(word)
		for other := range strings.FieldsSeq(to.spaced) {
			least = min(least, records.Edits(word, other))
		}
		sum += least
	}
	return sum
}
