package forecast

import (
	"fmt"
	"slices"

	"graftslip/records"
)

// Wait is how long a pair takes from grafting to finished plants, in days.
type Wait struct {
	Median int // half of the batches took so many or fewer
	High   int // nine of ten did
	Basis  string
}

// enough batches say more than a guess.
const enough = 3

// Days returns how long a pair takes: as the batches of the pair did where there
// are three or more with known days, else those of its stock, of its variety, or
// all. With fewer in all it is a guess: the days to the first flush of
// records.UsualDays, in which both numbers are the same.
func Days(outcomes []Outcome, variety, stock string) Wait {
	var pair, ofStock, ofVariety, all []int
	for _, o := range outcomes {
		if o.Days <= 0 {
			continue
		}
		sameVariety, sameStock := fold(o.Variety) == fold(variety), fold(o.Stock) == fold(stock)
		if sameVariety && sameStock {
			pair = append(pair, o.Days)
		}
		if sameStock {
			ofStock = append(ofStock, o.Days)
		}
		if sameVariety {
			ofVariety = append(ofVariety, o.Days)
		}
		all = append(all, o.Days)
	}
	for _, of := range []struct {
		days []int
		what string
	}{{pair, "of this pair"}, {ofStock, "of this stock"}, {ofVariety, "of this variety"}, {all, "of all"}} {
		if len(of.days) >= enough {
			return Wait{within(of.days, 50), within(of.days, 90), fmt.Sprintf("%d batches %s", len(of.days), of.what)}
		}
	}
	usual := records.UsualDays().Flush
	return Wait{usual, usual, fmt.Sprintf("a guess: fewer than %d batches with known days", enough)}
}

// within returns the least of the days in which so many of a hundred batches, or
// more, were finished.
func within(days []int, percent int) int {
	sorted := slices.Sorted(slices.Values(days))
	return sorted[(len(sorted)*percent+99)/100-1]
}
