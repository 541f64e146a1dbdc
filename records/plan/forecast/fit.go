package forecast

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/optimize"
)

// FitBeta returns the take under which the outcomes are likeliest when all are of
// one kind: a beta distribution, or a known share where they differ no more from
// each other than by the luck of a binomial. Nothing is assumed beforehand: from
// few batches it tells little. Outcomes that are Uncounted or Early are left
// out; the error says that none is left. No program calls it: it is the
// published fit, which tests hold against published figures, and our likelihood with it.
//
// The log likelihood of the beta-binomial, Σ log Γ(A+k)/Γ(A) + log Γ(B+n−k)/Γ(B)
// − log Γ(A+B+n)/Γ(A+B), is climbed in log(A/B) and log(A+B), from the moments.
func FitBeta(outcomes []Outcome) (Take, error) {
	known := countsOf(outcomes)
	var finished, grafts float64
	for _, c := range known {
		finished += float64(c.finished)
		grafts += float64(c.grafts)
	}
	if grafts == 0 {
		return Take{}, errors.New("there is no batch with a known outcome")
	}
	share := finished / grafts
	same := Take{share: share}
	spread := excess(known, share)
	if spread <= 0 {
		return same, nil
	}
	problem := optimize.Problem{
		Func: func(x []float64) float64 { value, _, _ := likelihood(known, x); return -value },
		Grad: func(gradient, x []float64) {
			_, byMean, byPrecision := likelihood(known, x)
			gradient[0], gradient[1] = -byMean, -byPrecision
		},
	}
	start := []float64{math.Log(share / (1 - share)), math.Log(1/spread - 1)}
	result, err := optimize.Minimize(problem, start, &optimize.Settings{GradientThreshold: 1e-7 * grafts}, &optimize.BFGS{})
	best := start
	if result != nil { // also one that stopped early is better than the start
		best = result.X
	}
	beta := betaAt(best)
	if _, wrong := Uncertain(beta); wrong != nil || beta.A+beta.B > practicallyNone {
		return same, nil
	}
	if result == nil && err != nil {
		return Take{}, err
	}
	return Take{beta: beta, uncertain: true}, nil
}

// practicallyNone is a precision so high that no batch shows a spread.
const practicallyNone = 1e7

// count is what is learned from of an outcome.
type count struct{ finished, grafts int }

func countsOf(outcomes []Outcome) []count {
	var all []count
	for _, o := range outcomes {
		if o.learnable() {
			all = append(all, count{o.Finished, o.Grafts})
		}
	}
	return all
}

// excess is how much more than a binomial the outcomes differ, as the correlation
// 1/(A+B+1) of two grafts of a batch: 0 or less where they do not. The sign is that
// of the slope of the likelihood where there is no spread (Tarone 1979, Biometrika
// 66:585; from memory), and the size that which the squares give.
func excess(known []count, share float64) float64 {
	luck := share * (1 - share)
	if luck == 0 {
		return 0
	}
	var more, pairs float64
	for _, c := range known {
		n := float64(c.grafts)
		off := float64(c.finished) - n*share
		// The expected square is n·luck·(1 + (n−1)·correlation).
		more += off*off/luck - n
		pairs += n * (n - 1)
	}
	if pairs == 0 {
		return 0
	}
	return min(more/pairs, 0.9)
}

// betaAt is the distribution at log(A/B) and log(A+B).
func betaAt(x []float64) Beta {
	precision := math.Exp(x[1])
	return Beta{precision / (1 + math.Exp(-x[0])), precision / (1 + math.Exp(x[0]))}
}

// likelihood is that of all outcomes, with its derivatives by log(A/B) and
// log(A+B).
func likelihood(known []count, x []float64) (value, byMean, byPrecision float64) {
	beta := betaAt(x)
	precision := beta.A + beta.B
	mean := beta.Mean()
	for _, c := range known {
		good, bad, all := rising(beta.A, c.finished), rising(beta.B, c.grafts-c.finished), rising(precision, c.grafts)
		value += good.value + bad.value - all.value
		byMean += precision * mean * (1 - mean) * (good.slope - bad.slope)
		byPrecision += beta.A*good.slope + beta.B*bad.slope - precision*all.slope
	}
	return value, byMean, byPrecision
}
