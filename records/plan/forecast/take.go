package forecast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Beta is a beta distribution of a share: A and B are as if so many had been seen
// to become plants and to fail. Both are above 0.
type Beta struct{ A, B float64 }

// Mean returns the expected share, A/(A+B).
func (b Beta) Mean() float64 { return b.A / (b.A + b.B) }

// Variance returns the variance of the share, mean·(1−mean)/(A+B+1).
func (b Beta) Variance() float64 { return b.Mean() * (b.B / (b.A + b.B)) / (b.A + b.B + 1) }

// Quantile returns the share below which a part p of the distribution lies.
func (b Beta) Quantile(p float64) float64 {
	switch {
	case p <= 0:
		return 0
	case p >= 1:
		return 1
	}
	return mathext.InvRegIncBeta(b.A, b.B, p)
}

// Take is the share of grafts of a batch that become finished plants: a share
// that is known, or one that is known only as a beta distribution. The zero Take
// is a known share of 0.
type Take struct {
	share     float64
	beta      Beta
	uncertain bool
}

// Known returns a take that is known: 0-1, else the error says so.
func Known(share float64) (Take, error) {
	if !(share >= 0 && share <= 1) {
		return Take{}, fmt.Errorf("a take of %v: it is a share of 0 to 1", share)
	}
	return Take{share: share}, nil
}

// Uncertain returns a take that is known as a distribution. Its A and B lie above
// 0 and are finite, else the error says so.
func Uncertain(beta Beta) (Take, error) {
	for _, x := range []float64{beta.A, beta.B} {
		if !(x > 0) || math.IsInf(x, 1) {
			return Take{}, fmt.Errorf("a beta distribution of %v and %v: both must be above 0", beta.A, beta.B)
		}
	}
	return Take{beta: beta, uncertain: true}, nil
}

// Beta returns the distribution of the take, and false where its share is known.
func (t Take) Beta() (Beta, bool) { return t.beta, t.uncertain }

// Mean returns the expected share.
func (t Take) Mean() float64 {
	if t.uncertain {
		return t.beta.Mean()
	}
	return t.share
}

// Quantile returns the share below which the take lies with probability p.
func (t Take) Quantile(p float64) float64 {
	if t.uncertain {
		return t.beta.Quantile(p)
	}
	return t.share
}
