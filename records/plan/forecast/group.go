package forecast

import (
	"cmp"
	"errors"
	"slices"
	"time"

	"graftslip/records"
)

// Trait is by what batches are told apart when their takes are compared.
type Trait uint8

// The traits. The zero Trait is none.
const (
	ByPair Trait = iota + 1
	ByStock
	ByVariety
	ByGrafter
	ByWrap
	ByMonth // of grafting
)

// Traits lists all traits.
func Traits() []Trait { return []Trait{ByPair, ByStock, ByVariety, ByGrafter, ByWrap, ByMonth} }

func (t Trait) String() string {
	if t < ByPair || t > ByMonth {
		return ""
	}
	return [...]string{"pair", "stock", "variety", "grafter", "wrap", "month"}[t-ByPair]
}

// ParseTrait reads the name of a trait, such as "stock".
func ParseTrait(name string) (Trait, error) {
	for _, t := range Traits() {
		if t.String() == name {
			return t, nil
		}
	}
	return 0, errors.New("batches are compared by pair, stock, variety, grafter, wrap or month")
}

// NotSaid is the name of the group of batches of which the trait is not known.
const NotSaid = "not said"

// Group are batches that are alike in a trait, with all their grafts together.
type Group struct {
	Name           string // as people read it: ‘Amber’ / ‘Hedge’, 2026-11, NotSaid
	Variety, Stock string // the plain names, where the trait has them
	Batches        int
	Grafts         int // 1 or more
	Finished       int // of the grafts

	counts []count
}

// Share is the part of the grafts that became plants, 0-1.
func (g Group) Share() float64 { return float64(g.Finished) / float64(g.Grafts) }

func (g *Group) add(o Outcome) {
	g.Batches++
	g.Grafts += o.Grafts
	g.Finished += o.Finished
	g.counts = append(g.counts, count{o.Finished, o.Grafts})
}

// Groups puts the outcomes from which something is learned into groups, that with
// the largest share first; of equal shares the one with more grafts. Names that
// differ in letter case alone are one, written as it was first.
func Groups(outcomes []Outcome, by Trait) []Group {
	var groups []Group
	index := map[[2]string]int{}
	for _, o := range outcomes {
		if !o.learnable() {
			continue
		}
		key, fresh := by.of(o)
		at, known := index[key]
		if !known {
			at = len(groups)
			index[key] = at
			groups = append(groups, fresh)
		}
		groups[at].add(o)
	}
	slices.SortStableFunc(groups, func(a, b Group) int {
		return cmp.Or(-cmp.Compare(a.Finished*b.Grafts, b.Finished*a.Grafts), -cmp.Compare(a.Grafts, b.Grafts), cmp.Compare(a.Name, b.Name))
	})
	return groups
}

// of returns what tells the group of an outcome from others, and that group
// without batches.
func (t Trait) of(o Outcome) (key [2]string, empty Group) {
	switch t {
	case ByPair:
		return [2]string{records.Key(o.Variety), records.Key(o.Stock)}, Group{Name: records.Pair(o.Variety, o.Stock), Variety: o.Variety, Stock: o.Stock}
	case ByStock:
		return [2]string{records.Key(o.Stock)}, Group{Name: records.Quoted(o.Stock), Stock: o.Stock}
	case ByVariety:
		return [2]string{records.Key(o.Variety)}, Group{Name: records.Quoted(o.Variety), Variety: o.Variety}
	case ByGrafter:
		return [2]string{records.Key(o.Grafter)}, Group{Name: cmp.Or(o.Grafter, NotSaid)}
	case ByWrap:
		if o.Wrap == 0 {
			return key, Group{Name: NotSaid}
		}
		return [2]string{o.Wrap.String()}, Group{Name: o.Wrap.String()}
	case ByMonth:
		month := o.Date.Format(monthForm)
		return [2]string{month}, Group{Name: month}
	}
	return key, Group{}
}

// monthForm is 2026-11 (ISO 8601, 5.2.2.2 of the edition of 2004; from memory).
const monthForm = "2006-01"

// Grafted returns the outcomes of batches grafted from one day to another, both
// with them. A zero day sets no limit.
func Grafted(outcomes []Outcome, since, until time.Time) []Outcome {
	var all []Outcome
	for _, o := range outcomes {
		if (since.IsZero() || !o.Date.Before(since)) && (until.IsZero() || !o.Date.After(until)) {
			all = append(all, o)
		}
	}
	return all
}
