package forecast

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/mathext"

	"graftslip/layouts"
	"graftslip/records"
)

// Rate is the take of a group, as it was counted and as it is expected.
type Rate struct {
	Group
	Interval // by Wilson, of the share of the grafts; see Rates
	// Pooled is expected of the next batch of a pair, nil for other traits.
	Pooled *Pooled
	// WithinChance of the first is set where the share differs from that of the
	// first group by no more than chance. It is not set for the first itself.
	WithinChance bool
}

// Pooled is the take that Nursery.Take expects.
type Pooled struct {
	Mean     float64
	Interval // which holds nine of ten
	Basis    Basis
}

// Rates are the takes of all groups. Wilson's intervals take all grafts of a group
// for alike: where batches differ they are too narrow, which Spread and Pooled
// make good.
type Rates struct {
	By     Trait
	Level  float64 // of the intervals and of WithinChance, 0-1
	Groups []Rate  // the largest share first
	Total  Rate    // all groups together, with a name of none; the zero Rate without any
	Spread Spread
	// Left out, in batches: those not finished, never counted, and lost early.
	Unfinished, Uncounted, Early int
}

// RatesOf compares outcomes by a trait. What is expected of pairs is learned from
// all of course, of which the outcomes are a part. The level lies between 0 and
// 1, else the error says so.
func RatesOf(outcomes, history []Outcome, by Trait, level float64) (Rates, error) {
	r := Rates{By: by, Level: level}
	if _, err := Wilson(0, 1, level); err != nil {
		return r, err
	}
	for _, o := range outcomes {
		switch {
		case o.learnable():
			r.Total.add(o)
		case o.Open:
			r.Unfinished++
		case o.Uncounted:
			r.Uncounted++
		case o.Early:
			r.Early++
		}
	}
	groups := Groups(outcomes, by)
	if len(groups) == 0 {
		return r, nil
	}
	r.Spread = SpreadOf(groups)
	var nursery *Nursery
	if by == ByPair {
		nursery = Learn(history)
	}
	for i, g := range groups {
		rate := Rate{Group: g, WithinChance: i > 0 && r.Spread.WithinChance(groups[0], g, level)}
		var err error
		if rate.Interval, err = Wilson(g.Finished, g.Grafts, level); err != nil {
			return r, err
		}
		if nursery != nil {
			take, basis := nursery.Take(g.Variety, g.Stock)
			rate.Pooled = &Pooled{take.Mean(), Interval{take.Quantile(0.05), take.Quantile(0.95)}, basis}
		}
		r.Groups = append(r.Groups, rate)
	}
	var err error
	r.Total.Interval, err = Wilson(r.Total.Finished, r.Total.Grafts, level)
	return r, err
}

// PercentWords writes a share in whole percent, which are as fine as counts are. A
// few of many are not none, and nearly all are not all.
func PercentWords(share float64) string {
	rounded := math.Round(share * 100)
	switch {
	case rounded == 0 && share > 0:
		return "<1 %"
	case rounded == 100 && share < 1:
		return ">99 %"
	}
	return fmt.Sprintf("%.0f %%", rounded)
}

// ChanceWords writes a chance in percent, never rounded up: it may understate a chance,
// never overstate it.
func ChanceWords(chance float64) string {
	return layouts.FormatNumber(math.Floor(chance*1000+1e-9)/10) + "%"
}

// Words write an interval in whole percent: "81–94 %".
func (i Interval) Words() string {
	return fmt.Sprintf("%.0f–%.0f %%", math.Round(i.Low*100), math.Round(i.High*100))
}

// LevelWords write a level as flags take it: "95%".
func LevelWords(level float64) string { return layouts.FormatNumber(level*100) + "%" }

// Basis is how many batches with a known outcome a forecast stands on: of the
// pair, of its stock, of its variety, and in all.
type Basis struct{ Pair, Stock, Variety, All int }

// Words write it in one line: "4 batches of this pair, 12 of this stock, 9 of this
// variety, 40 in all".
func (b Basis) Words() string {
	if b.All == 0 {
		return "no batch with a known outcome: a wide guess"
	}
	orNone := func(n int, none, some string) string {
		if n == 0 {
			return none
		}
		return some
	}
	return fmt.Sprintf("%s of this pair, %s of this stock, %s of this variety, %d in all", orNone(b.Pair, "no batch", records.Counted(b.Pair, "batch")),
		orNone(b.Stock, "none", strconv.Itoa(b.Stock)), orNone(b.Variety, "none", strconv.Itoa(b.Variety)), b.All)
}

// LeftOutWords list the batches that are not among the groups, a line for each
// reason.
func (r Rates) LeftOutWords() []string {
	var lines []string
	for _, left := range []struct {
		batches   int
		one, more string
	}{
		{r.Unfinished, "is not finished yet", "are not finished yet"},
		{r.Uncounted, "was never counted, and is left out", "were never counted, and are left out"},
		{r.Early, "was lost early, and is left out until others like it are finished", "were lost early, and are left out until others like them are finished"},
	} {
		switch {
		case left.batches == 1:
			lines = append(lines, records.Counted(1, "batch")+" "+left.one)
		case left.batches > 1:
			lines = append(lines, records.Counted(left.batches, "batch")+" "+left.more)
		}
	}
	return lines
}

// ReadingWords explain what the numbers mean and how far differences can be trusted, a
// line each.
func (r Rates) ReadingWords() []string {
	if len(r.Groups) == 0 {
		return nil
	}
	brackets := "in brackets: the range in which the true share lies, at a level of " + LevelWords(r.Level)
	if r.By == ByPair {
		brackets += ", and the range expected of the next batch, at 90%"
	}
	if len(r.Groups) == 1 {
		return []string{brackets}
	}
	spread := "this allows for how much batches of one group differ"
	if r.Spread.Freedom == 0 {
		spread = "no group has two batches, so how much batches of one group differ is a guess"
	}
	return []string{brackets, fmt.Sprintf("within chance: the difference may be luck, at a level of %s over all comparisons; %s", LevelWords(r.Level), spread),
		"groups also differ in who grafted, which wood and when: a difference does not prove a cause"}
}

// Interval is a range of shares, each 0-1.
type Interval struct{ Low, High float64 }

// Wilson returns the interval in which the share of a binomial lies, of which k
// of n were seen, at a level such as 0.95: where the normal test of a share does
// not refuse it. It holds its level on average over shares.
//
// Source: Wilson 1927, Journal of the American Statistical Association 22:209;
// the formula as in Newcombe 1998, Statistics in Medicine 17:857, method 3.
func Wilson(k, n int, level float64) (Interval, error) {
	if err := checkSeen(k, n, level); err != nil {
		return Interval{}, err
	}
	z := mathext.NormalQuantile((1 + level) / 2)
	seen, all := float64(k), float64(n)
	middle := (2*seen + z*z) / (2 * (all + z*z))
	half := z / (2 * (all + z*z)) * math.Sqrt(z*z+4*seen*(all-seen)/all)
	interval := Interval{max(0, middle-half), min(1, middle+half)}
	if k == 0 {
		interval.Low = 0 // but for rounding
	}
	if k == n {
		interval.High = 1
	}
	return interval, nil
}

func checkSeen(k, n int, level float64) error {
	switch {
	case n < 1 || k < 0 || k > n:
		return fmt.Errorf("%d of %d is no count of plants: the first is 0 to the second, the second 1 or more", k, n)
	case !(level > 0 && level < 1):
		return fmt.Errorf("a level of %v: it lies between 0 and 1", level)
	}
	return nil
}
