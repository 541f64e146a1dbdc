package forecast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

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
