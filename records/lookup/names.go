package lookup

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"graftslip/records"
)

// Names are the names of batches, ready to be searched: variety, stock, source, grafter and
// note. They never change, so a page may keep them until its ledger changes.
type Names struct {
	batches []records.Batch
	texts   []name  // each name once
	of      [][]int // the texts of each batch
	ever    [][]int // and those from before its amendments
}

// name is a name, folded.
type name struct{ spaced, joined string } // its words with a space before each, and with none

func namesIn(b records.Batch) []string {
	return []string{b.Variety, b.Stock, b.Source, b.Grafter, b.Note}
}

// formerNames are names that may be on labels printed before an amendment, or before it was
// undone.
func formerNames(b records.Batch) (names []string) {
	for _, amendment := range b.Amendments {
		for _, change := range amendment.Changes {
			if change.Field != "date" {
				names = append(names, change.Was, change.Is)
			}
		}
	}
	return names
}

// NamesOf returns the names of batches.
func NamesOf(batches []records.Batch) *Names {
	n := &Names{batches: batches, of: make([][]int, len(batches)), ever: make([][]int, len(batches))}
	index := map[string]int{}
	textsOf := func(names []string) []int {
		texts := make([]int, len(names))
		for i, name := range names {
			at, is := index[name]
			if !is {
				at = len(n.texts)
				index[name] = at
				n.texts = append(n.texts, nameOf(name))
			}
			texts[i] = at
		}
		return texts
	}
	for i, batch := range batches {
		n.of[i] = textsOf(namesIn(batch))
		n.ever[i] = append(n.of[i], textsOf(formerNames(batch))...)
	}
	return n
}

// Search returns which batches have all the words of a text in their names, and whether they
// only have similar words. Each word may be anywhere in any of the names; case, accents and
// punctuation do not count. If no batch has them all, the search widens: a word of four letters or
// more matches one that differs by a letter or by two swapped ones, joined words match separate
// ones, and names from before an amendment count too.
//
// A batch with the whole text for a name comes first, then those where each word begins a word,
// then the others. Of equal ones the newest comes first: it is most likely the one at hand.
func (n *Names) Search(text string) (found []int, like bool) {
	wanted := nameOf(text)
	if wanted.joined == "" {
		return nil, false
	}
	if found = n.search(wanted, n.of, exactly); len(found) > 0 {
		return found, false
	}
	return n.search(wanted, n.ever, nearly), true
}

// Batches returns those that Search found.
func (n *Names) Batches(found []int) []records.Batch {
	batches := make([]records.Batch, len(found))
	for i, at := range found {
		batches[i] = n.batches[at]
	}
	return batches
}

// How a batch matches, the best first.
const (
	whole  = iota // a name is the whole text
	begins        // each word begins a word
	inside        // a word is part of a word, or is like one
	never
	unseen // not looked at
)

// match returns how a word is in a name.
type match func(in name, word string) int

func (n *Names) search(wanted name, of [][]int, match match) []int {
	words := slices.SortedFunc(strings.FieldsSeq(wanted.spaced), func(a, b string) int {
		return cmp.Or(len(b)-len(a), strings.Compare(a, b)) // long words leave few batches for the next
	})
	rank := make([]int, len(n.batches))
	left := 0 // batches that have all words so far
	is := make([]int, len(n.texts))
	for _, word := range slices.Compact(words) {
		for i := range is {
			is[i] = unseen
		}
		left = 0
		for i, names := range of {
			if rank[i] == never {
				continue
			}
			best := never
			for _, at := range names {
				if is[at] == unseen {
					is[at] = match(n.texts[at], word)
				}
				best = min(best, is[at])
			}
			if rank[i] = max(rank[i], best); best != never {
				left++
			}
		}
		if left == 0 {
			return nil
		}
	}
	found := make([]int, 0, left)
	for i, names := range of {
		if rank[i] == never {
			continue
		}
		if slices.ContainsFunc(names, func(at int) bool { return n.texts[at] == wanted }) {
			rank[i] = whole
		}
		found = append(found, i)
	}
	slices.SortStableFunc(found, func(a, b int) int {
		return cmp.Or(rank[a]-rank[b], n.batches[b].Date.Compare(n.batches[a].Date))
	})
	return found
}

func exactly(in name, word string) int {
	switch at := strings.Index(in.spaced, word); {
	case at < 0:
		return never
	case strings.Contains(in.spaced[at-1:], " "+word): // every word has a space before it
		return begins
	}
	return inside
}

func nearly(in name, word string) int {
	const shortest = 4 // letters of a word in which one may be wrong
	if is := exactly(in, word); is != never || utf8.RuneCountInString(word) < shortest {
		return is
	}
	if strings.Contains(in.joined, word) {
		return inside
	}
	if strings.ContainsFunc(word, unicode.IsDigit) { // another number names another thing
		return never
	}
	for other := range strings.FieldsSeq(in.spaced) {
		if beginsLike(other, word) {
			return inside
		}
	}
	return never
}

// beginsLike reports whether a word begins with another one but for one letter that is wrong,
// missing or too many, or for two neighbours that are swapped.
func beginsLike(word, start string) bool {
	for word != "" && start != "" {
		a, width := utf8.DecodeRuneInString(word)
		b, other := utf8.DecodeRuneInString(start)
		if a == b {
			word, start = word[width:], start[other:]
			continue
		}
		after, rest := word[width:], start[other:]
		swapped := strings.HasPrefix(after, string(b)) && strings.HasPrefix(rest, string(a)) &&
			strings.HasPrefix(after[other:], rest[width:])
		return swapped || strings.HasPrefix(after, rest) || strings.HasPrefix(after, start) || strings.HasPrefix(word, rest)
	}
	return utf8.RuneCountInString(start) <= 1
}

// apart writes letters in the place of others, and parts what stands together.
var apart = strings.NewReplacer("×", " x ", "ø", "o", "ł", "l", "đ", "d", "æ", "ae", "œ", "oe", "ı", "i")

// nameOf folds a name: words in lower case, without accents and punctuation, the hybrid sign as
// the letter x.
func nameOf(text string) name {
	letters := strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune(".'’‘ʼ\"“”„", r):
			return -1
		case unicode.IsLetter(r), unicode.IsDigit(r):
			return r
		}
		return ' '
	}, apart.Replace(records.Unaccented(text)))
	var folded name
	for word := range strings.FieldsSeq(letters) {
		folded.spaced += " " + word
		folded.joined += word
	}
	return folded
}
