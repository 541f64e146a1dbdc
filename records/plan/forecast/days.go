package forecast

import (
	"cmp"
	"fmt"
	"slices"

	"graftslip/records"
)

// Wait is how long a pair takes from grafting to finished plants, in days.
type Wait struct {
	High int // nine of ten batches take so many or fewer
	// Least is set where that is not known yet, since too many are not finished: High
	// is then as long as the longest has stood.
	Least bool
	Basis string
}

// Days returns how long a pair takes: as the batches of the pair did where there
// are three or more with known days, else those of its stock, of its variety, or
// all. With fewer in all it is a guess: the days to the first flush of
// records.UsualDays.
//
// Batches that are not finished yet count with their age: from the finished ones of a
// spring alone only the fast would be learned. The share finished by a day is that of
// Kaplan & Meier 1958, Journal of the American Statistical Association 53:457 (from
// memory). Where it does not reach nine of ten, the days are as many as the longest has
// taken until now, finished or not.
func Days(outcomes []Outcome, variety, stock string) Wait {
	keys := map[string]string{} // of names, which repeat
	key := func(name string) string {
		if _, known := keys[name]; !known {
			keys[name] = records.Key(name)
		}
		return keys[name]
	}
	same := func(a, b string) bool { return key(a) == key(b) }
	for _, of := range []struct {
		is   func(v, s string) bool
		what string
	}{
		{func(v, s string) bool { return same(v, variety) && same(s, stock) }, "of this pair"},
		{func(_, s string) bool { return same(s, stock) }, "of this stock"},
		{func(v, _ string) bool { return same(v, variety) }, "of this variety"},
		{func(string, string) bool { return true }, "of all"},
	} {
		var all []stood
		for _, o := range outcomes {
			if o.Days > 0 && !o.Open && of.is(o.Variety, o.Stock) {
				all = append(all, stood{o.Days, true})
			}
		}
		if finished := len(all); finished >= records.Enough {
			for _, o := range outcomes {
				if o.Days > 0 && o.Open && of.is(o.Variety, o.Stock) {
					all = append(all, stood{o.Days, false})
				}
			}
			basis := fmt.Sprintf("%s %s", BatchesWords(len(all)), of.what)
			if rest := len(all) - finished; rest > 0 {
				basis += fmt.Sprintf(", %d not finished yet", rest)
			}
			high, known := within(all, 0.9)
			return Wait{high, !known, basis}
		}
	}
	return Wait{records.UsualDays().Flush, false, fmt.Sprintf("a guess: fewer than %d batches with known days", records.Enough)}
}

// stood is how many days a batch took, or has stood until now.
type stood struct {
	days     int
	finished bool
}

// within returns the first day by which a share of the batches was finished; if there
// is none, the last that is known of.
func within(all []stood, share float64) (day int, known bool) {
	const rounding = 1e-9
	slices.SortFunc(all, func(a, b stood) int {
		if a.days == b.days && a.finished != b.finished { // who has not finished on a day may do so later
			if a.finished {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.days, b.days)
	})
	left := 1.0
	for i, one := range all {
		if one.finished {
			left *= 1 - 1/float64(len(all)-i)
		}
		if one.finished && 1-left >= share-rounding {
			return one.days, true
		}
	}
	return all[len(all)-1].days, false
}
