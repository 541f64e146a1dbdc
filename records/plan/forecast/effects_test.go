package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
)

// The sums and their derivatives are those of each term, whether summed or by the
// formula.
func TestLogRisingFactorial(t *testing.T) {
	for _, x := range []float64{1e-6, 0.3, 1, 7.5, 15.9, 16, 40, 1234.5, 1e6, 1e12} {
		for _, count := range []int{0, 1, 8, 24, 25, 60, 500, 9000} {
			var want derivatives
			for i := count - 1; i >= 0; i-- {
				at := x + float64(i)
				want.value += math.Log(at)
				want.first += 1 / at
				want.second -= 1 / (at * at)
			}
			got := logRisingFactorial(x, count)
			for _, of := range [][2]float64{{want.value, got.value}, {want.first, got.first}, {want.second, got.second}} {
				require.InDelta(t, 0, (of[1]-of[0])/max(1e-300, math.Abs(of[0])), 1e-10, "%v, %d: %v", x, count, of)
			}
		}
	}
}

// small is a history of three varieties on two stocks, not all pairs of which were
// grafted.
func small() *history {
	var outcomes []Outcome
	for _, b := range [][4]int{{0, 0, 40, 31}, {0, 0, 25, 14}, {0, 1, 30, 12}, {1, 0, 60, 41}, {1, 0, 15, 12}, {2, 1, 80, 22}, {2, 1, 35, 15}, {2, 1, 300, 90}} {
		outcomes = append(outcomes, Outcome{Variety: fmt.Sprint(b[0]), Stock: fmt.Sprint(b[1]), Grafts: b[2], Finished: b[3]})
	}
	return historyOf(outcomes)
}

// Slopes and second derivatives by differences, all effects in one matrix, agree
// with what was worked out by eliminating pairs and varieties.
func TestEliminationAgreesWithTheWholeMatrix(t *testing.T) {
	e := newEffects(small(), spreads{math.Log(25), math.Log(0.6), math.Log(0.8), math.Log(0.4)}, nil)
	require.True(t, e.maximize())
	require.True(t, e.factorize())
	top := slices.Clone(e.values)
	value := func(x []float64) float64 {
		copy(e.values, x)
		e.evaluate()
		return e.likelihood
	}
	slopes := fd.Gradient(nil, value, top, &fd.Settings{Formula: fd.Central})
	for i, slope := range slopes {
		require.InDelta(t, 0, slope, 1e-4, "effect %d", i)
	}
	curvature := mat.NewSymDense(len(top), nil)
	fd.Hessian(curvature, value, top, &fd.Settings{Formula: fd.Central, Step: 1e-3})
	curvature.ScaleSym(-1, curvature)
	value(top)
	var whole mat.Cholesky
	require.True(t, whole.Factorize(curvature))

	require.InDelta(t, whole.LogDet(), e.logDet(), 1e-3)

	var covariance mat.SymDense
	require.NoError(t, whole.InverseTo(&covariance))
	variances := func(variety, stock, pair int) (mean, variance float64) {
		x := mat.NewVecDense(len(top), nil)
		x.SetVec(0, 1)
		at := func(first, n int, deviation float64) {
			if n == none {
				variance += deviation * deviation
				return
			}
			x.SetVec(first+n, 1)
		}
		at(1, stock, e.spreads.stock())
		at(1+len(e.history.stocks), variety, e.spreads.variety())
		at(1+len(e.history.stocks)+len(e.history.varieties), pair, e.spreads.pair())
		return firstLogit + mat.Dot(x, mat.NewVecDense(len(top), top)), variance + mat.Inner(x, &covariance, x)
	}
	kept := newPoint(e, 1)
	for _, of := range [][3]int{{0, 0, 0}, {2, 1, 3}, {1, 1, none}, {none, 1, none}, {0, none, none}, {none, none, none}} {
		mean, variance := variances(of[0], of[1], of[2])
		gotMean, gotVariance := kept.logitOf(of[0], of[1], of[2])
		require.InDelta(t, mean, gotMean, 1e-9, of)
		require.InDelta(t, variance, gotVariance, 1e-4, of)
	}
}

// With one pair the effects are one normal number, and the likelihood over them an
// integral that can be summed: Laplace's approximation is near it.
func TestLaplaceIsNearTheIntegral(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	worst := 0.0
	for range 60 {
		outcomes := []Outcome{}
		for range 1 + random.IntN(6) {
			grafts := 10 + random.IntN(91)
			outcomes = append(outcomes, Outcome{Grafts: grafts, Finished: grafts/5 + random.IntN(grafts-grafts/5+1)})
		}
		h := historyOf(outcomes)
		s := spreads{math.Log(3 + 60*random.Float64()), math.Log(0.1 + random.Float64()), math.Log(0.1 + random.Float64()), math.Log(0.1 + 0.5*random.Float64())}
		e := newEffects(h, s, nil)
		require.True(t, e.maximize())
		require.True(t, e.factorize())
		deviation := math.Sqrt(firstLogitSpread*firstLogitSpread + math.Exp(2*s[1]) + math.Exp(2*s[2]) + math.Exp(2*s[3]))
		total, moment := 0.0, 0.0
		const step = 0.002
		for z := -8.0; z < 8; z += step {
			logit := firstLogit + deviation*z
			value, _, _ := h.pairs[0].likelihood(logit, s.precision())
			density := math.Exp(value+e.batchTerms-z*z/2) / math.Sqrt(2*math.Pi) * step
			total += density
			moment += density * logit
		}
		// The evidence leaves out what does not change: the width of the base.
		require.InDelta(t, math.Log(total), e.evidence()-s.prior()-math.Log(firstLogitSpread), 0.1)
		mean, variance := newPoint(e, 1).logitOf(0, 0, 0)
		off := math.Abs(mean-moment/total) / math.Sqrt(variance)
		require.Less(t, off, 0.35, "the mean is near the top, measured by how sure it is")
		worst = max(worst, off)
	}
	t.Logf("mean logit off by %.2f standard deviations at most", worst)
}

// Where all took of a batch and hardly any of the pair is thought to, and batches
// differ much, the likelihood bends up: the weight stays above 0, and the way back
// is found.
func TestLikelihoodThatBendsUp(t *testing.T) {
	h := historyOf([]Outcome{{Variety: "a", Stock: "b", Grafts: 50, Finished: 50}})
	value := func(logit float64) float64 { v, _, _ := h.pairs[0].likelihood(logit, 0.5); return v }
	const logit, step = -5.0, 1e-3
	require.Greater(t, value(logit+step)-2*value(logit)+value(logit-step), 0.0, "it bends up")
	_, _, weight := h.pairs[0].likelihood(logit, 0.5)
	require.Greater(t, weight, 0.0)
	e := newEffects(h, spreads{math.Log(0.5), 0, 0, 0}, nil)
	near := newEffects(h, e.spreads, nil)
	require.True(t, near.maximize())
	e.values[0] = -8 - firstLogit
	require.True(t, e.maximize())
	require.InDelta(t, near.logit(0), e.logit(0), 1e-3)
}
