package forecast

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records"
)

// Take is the share of grafts of a batch that become finished plants: a share
// that is known, or one that is known only as a beta distribution. The zero Take
// is a known share of 0.
type Take struct {
	Share float64     // 0-1
	Beta  distuv.Beta // zero where the share is known; else both parameters are above 0 and finite
}

func (t Take) uncertain() bool { return t.Beta.Alpha > 0 }

// Known returns a take that is known: 0-1, else an error.
func Known(share float64) (Take, error) {
	if !(share >= 0 && share <= 1) {
		return Take{}, fmt.Errorf("a take of %v: it is a share of 0 to 1", share)
	}
	return Take{Share: share}, nil
}

// Mean returns the expected share.
func (t Take) Mean() float64 {
	if t.uncertain() {
		return t.Beta.Mean()
	}
	return t.Share
}

// Quantile returns the share below which the take lies with probability p.
func (t Take) Quantile(p float64) float64 {
	if t.uncertain() {
		return t.Beta.Quantile(p)
	}
	return t.Share
}

// Chance returns the probability, 0-1, that a batch of so many grafts gives so
// many finished plants or more: by the binomial distribution where the take is
// known, else by the beta-binomial one.
//
// Each term follows from the one beside it by
//
//	P(k+1)/P(k) = (n−k)/(k+1) · p/(1−p)             binomial
//	P(k+1)/P(k) = (n−k)/(k+1) · (A+k)/(B+n−k−1)     beta-binomial
//
// so that all are known but for a factor, and the factor by their sum, which is
// 1. They are reckoned from the largest on: nothing overflows, what underflows is
// nothing beside the rest, and nothing is subtracted, so that a small chance is as
// exact as a large one. It takes time in proportion to grafts, about 1 ms for
// 100,000.
func (t Take) Chance(grafts, want int) float64 {
	switch {
	case want <= 0:
		return 1
	case want > grafts:
		return 0
	case !t.uncertain() && (t.Share == 0 || t.Share == 1):
		return t.Share
	}
	n := float64(grafts)
	ratio := func(k float64) float64 { return (n - k) / (k + 1) * (t.Share / (1 - t.Share)) }
	if t.uncertain() {
		a, b := t.Beta.Alpha, t.Beta.Beta
		ratio = func(k float64) float64 { // the whole numbers first, or a small b is lost
			return (n - k) / (k + 1) * ((a + k) / (b + (n - k - 1)))
		}
	}
	start := t.likeliest(grafts)
	var enough, tooFew float64
	add := func(k int, weight float64) {
		if k >= want {
			enough += weight
		} else {
			tooFew += weight
		}
	}
	add(start, 1)
	for k, weight := start, 1.0; k < grafts; k++ {
		weight *= ratio(float64(k))
		add(k+1, weight)
	}
	for k, weight := start, 1.0; k > 0; k-- {
		weight /= ratio(float64(k - 1))
		add(k-1, weight)
	}
	return enough / (enough + tooFew)
}

// likeliest is the number of finished plants that is likelier than any other.
func (t Take) likeliest(grafts int) int {
	a, b := t.Beta.Alpha, t.Beta.Beta
	share := t.Share
	switch {
	case !t.uncertain():
	case a > 1 && b > 1:
		share = (a - 1) / (a - 1 + b - 1)
	case a > b:
		return grafts
	default:
		return 0
	}
	return min(grafts, int(math.Floor(share*float64(grafts+1))))
}

// ErrNoNumber says that no number of grafts is enough.
var ErrNoNumber = errors.New("no number of grafts is enough")

// MostGrafts is the largest number of grafts that HowMany looks at.
const MostGrafts = 100_000

// HowMany returns the least number of grafts, made as one batch, that give so many
// finished plants or more with a chance of at least sure. More grafts never give
// a smaller chance, so that the number is found by doubling and halving. want is 1
// or more, and sure lies between 0 and 1. The error is ErrNoNumber where MostGrafts
// are not enough.
func (t Take) HowMany(want int, sure float64) (grafts int, err error) {
	switch {
	case want < 1:
		return 0, fmt.Errorf("%d plants wanted: it must be 1 or more", want)
	case !(sure > 0 && sure < 1):
		return 0, fmt.Errorf("a chance of %v: it lies between 0 and 1, such as 0.9", sure)
	}
	if chance := t.Chance(MostGrafts, want); chance < sure {
		return 0, &records.Problem{Kind: ErrNoNumber,
			Text: fmt.Sprintf("no number of grafts gives %d plants with a chance of %.4g %%: even %d do so with one of %.2g %% only",
				want, 100*sure, MostGrafts, 100*chance),
			Advice: "ask for fewer plants or a smaller chance, or see why so few grafts of this pair became plants"}
	}
	tooFew, most := want-1, want
	for t.Chance(most, want) < sure {
		tooFew, most = most, min(2*most, MostGrafts)
	}
	for most-tooFew > 1 {
		if middle := (tooFew + most) / 2; t.Chance(middle, want) < sure {
			tooFew = middle
		} else {
			most = middle
		}
	}
	return most, nil
}
