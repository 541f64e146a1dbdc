package forecast

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records"
)

// Trait is what batches are grouped by when their takes are compared.
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
	return [...]string{"pair", "stock", "variety", "grafter", "label-wrap", "month"}[t-ByPair]
}

// ParseTrait reads the name of a trait, such as "stock".
func ParseTrait(name string) (Trait, error) {
	for _, t := range Traits() {
		if t.String() == name {
			return t, nil
		}
	}
	return 0, errors.New("compare batches by pair, stock, variety, grafter, label-wrap or month")
}

// notSaid is the name of the group of batches of which the trait is not known.
const notSaid = "not given"

// Group are batches that are alike in a trait, with all their grafts together.
type Group struct {
	Name           string // as people read it: ‘Amber’ / ‘Hedge’, 2026-11, notSaid
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
		return [2]string{records.Key(o.Grafter)}, Group{Name: cmp.Or(o.Grafter, notSaid)}
	case ByWrap:
		if o.Wrap == 0 {
			return key, Group{Name: notSaid}
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

// Spread is how much more batches of one group differ than by the luck of a
// binomial, as far as it is known.
type Spread struct {
	// Correlation of two grafts of a batch that is expected, 0-1: 0 where batches
	// differ by luck alone. It is 1/(M+1) with M the precision of batches, as in Learn.
	Correlation float64
	// Freedom is by how many batches there are more than groups. With 0 the
	// spread is a guess.
	Freedom int

	groups int
	likely []likely
}

// likely is a correlation with the probability that it is about that.
type likely struct{ correlation, probability float64 }

// What is assumed of the precision of batches before groups are compared: a guess that
// is wider than that of Learn, and about batches that differ more. To call a difference
// of batches one of groups is worse here than to miss one, and the weaker density
// lets the batches speak. It was chosen by the figures of TestDifferencesByChance.
const (
	comparedPrecision       = 4.0 // a correlation of 0.2
	comparedPrecisionSpread = 2.5 // on the log scale
)

// SpreadOf learns the spread from all groups together. How far the batches are
// from their groups,
//
//	S = Σ n(share of batch − share of group)² / (share of group·(1 − share of group))
//
// is taken for (1 + (m − 1)ρ) times a number of the chi-square distribution with
// Freedom degrees, where m is a mean size of batches,
//
//	m = Σ over groups (grafts − Σ n²/grafts) / Freedom
//
// Batches of a group of share 0 or 1 do not differ: they count in Freedom and m, and
// add nothing to S. Few batches say little of ρ, so that a weak density is put on M,
// log normal. m is that of the analysis of variance (Donner & Klar 2000, Design and
// Analysis of Cluster Randomization Trials, chapter 6; from memory); the rest is our
// own choice, and TestDifferencesByChance measures it.
func SpreadOf(groups []Group) Spread {
	s := Spread{groups: len(groups)}
	var squares, size float64
	for _, g := range groups {
		s.Freedom += g.Batches - 1
		share := g.Share()
		for _, c := range g.counts {
			n := float64(c.grafts)
			size += n - n*n/float64(g.Grafts)
			if off := float64(c.finished)/n - share; off != 0 {
				squares += n * off * off / (share * (1 - share))
			}
		}
	}
	size /= max(1, float64(s.Freedom))
	const points, from, to = 80, -2.0, 9.0 // of log M: M from 0.14 to 8,000
	sum := 0.0
	for i := range points {
		logarithm := from + (to-from)*float64(i)/(points-1)
		correlation := 1 / (math.Exp(logarithm) + 1)
		larger := 1 + max(0, size-1)*correlation
		off := (logarithm - math.Log(comparedPrecision)) / comparedPrecisionSpread
		weight := math.Exp(-off*off/2 - float64(s.Freedom)/2*math.Log(larger) - squares/(2*larger))
		s.likely = append(s.likely, likely{correlation, weight})
		sum += weight
	}
	for i := range s.likely {
		s.likely[i].probability /= sum
		s.Correlation += s.likely[i].probability * s.likely[i].correlation
	}
	return s
}

// WithinChance reports whether two groups differ no more than by chance, at a
// level such as 0.95 that holds for all pairs of groups at once.
//
// The shares are compared by the normal test, with a variance as much larger as
// the batches of each group make it, C = Σ n(1 + (n − 1)ρ)/Σ n:
//
//	z = (a − b) / √(p(1 − p)(C_a/grafts_a + C_b/grafts_b)),  p of both together
//
// and the chance of so large a z is the mean of those under all ρ that are likely.
// The level is that of Bonferroni for all pairs of groups: that which is compared
// with is first by luck, too.
//
// Source of C: Donner 1989, as the documentation of the R package aods3 gives it for its
// function drs, with C = 1 + (Σ n²/Σ n − 1)ρ, which is the same (secondary). Donald &
// Donner 1987, Statistics in Medicine 6:491, from which it comes, was not seen.
func (s Spread) WithinChance(a, b Group, level float64) bool {
	p := float64(a.Finished+b.Finished) / float64(a.Grafts+b.Grafts)
	if p == 0 || p == 1 {
		return true
	}
	rarer := 0.0
	for _, one := range s.likely {
		variance := p * (1 - p) * (a.enlarged(one.correlation)/float64(a.Grafts) + b.enlarged(one.correlation)/float64(b.Grafts))
		z := math.Abs(a.Share()-b.Share()) / math.Sqrt(variance)
		rarer += one.probability * 2 * distuv.UnitNormal.Survival(z)
	}
	pairs := max(1, s.groups*(s.groups-1)/2)
	return rarer*float64(pairs) > 1-level
}

// enlarged is how much larger the variance of a group's share is than that of as
// many grafts which have nothing in common.
func (g Group) enlarged(correlation float64) float64 {
	sum := 0.0
	for _, c := range g.counts {
		n := float64(c.grafts)
		sum += n * (1 + (n-1)*correlation)
	}
	return sum / float64(g.Grafts)
}
