package forecast

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
