package forecast

import "math"

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
	case !t.uncertain && (t.share == 0 || t.share == 1):
		return t.share
	}
	n := float64(grafts)
	ratio := func(k float64) float64 { return (n - k) / (k + 1) * (t.share / (1 - t.share)) }
	if t.uncertain {
		a, b := t.beta.A, t.beta.B
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
	a, b := t.beta.A, t.beta.B
	share := t.share
	switch {
	case !t.uncertain:
	case a > 1 && b > 1:
		share = (a - 1) / (a - 1 + b - 1)
	case a > b:
		return grafts
	default:
		return 0
	}
	return min(grafts, int(math.Floor(share*float64(grafts+1))))
}
