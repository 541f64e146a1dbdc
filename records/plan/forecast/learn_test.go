package forecast

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/optimize"
)

// The likelihood is greatest where other programs find it. The families of Saxony
// with 12 children or more, by the number of boys among the first 12 (Geissler 1889;
// secondary), have A 34.10 and B 31.58 (computed, apart from this package).
func TestLikelihoodOfFamilies(t *testing.T) {
	var p pair
	for boys, many := range []int{3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7} {
		p.counts = append(p.counts, slices.Repeat([]count{{boys, 12}}, many)...)
	}
	minus := func(x []float64) float64 { // by the logit of the mean and the log of the precision
		value, _, _ := p.likelihood(x[0], math.Exp(x[1]))
		return float64(len(p.counts))*logRisingFactorial(math.Exp(x[1]), 12).value - value
	}
	result, err := optimize.Minimize(optimize.Problem{Func: minus}, []float64{0.4, 3}, nil, &optimize.NelderMead{})
	require.NoError(t, err)
	mean, precision := 1/(1+math.Exp(-result.X[0])), math.Exp(result.X[1])
	require.InDelta(t, 34.10, mean*precision, 0.05)
	require.InDelta(t, 31.58, (1-mean)*precision, 0.05)
}

func TestLikelihoodDerivatives(t *testing.T) {
	p := pair{counts: []count{{0, 5}, {7, 9}, {30, 80}, {400, 500}}}
	for _, x := range [][2]float64{{0.4, 1}, {-2, 4}, {1.5, -1}} {
		precision := math.Exp(x[1])
		value := func(logit float64) float64 { v, _, _ := p.likelihood(logit, precision); return v }
		_, slope, weight := p.likelihood(x[0], precision)
		require.InDelta(t, fd.Derivative(value, x[0], &fd.Settings{Formula: fd.Central}), slope, 1e-5)
		bend := -fd.Derivative(value, x[0], &fd.Settings{Formula: fd.Central2nd})
		require.Equal(t, x[0] > 0, bend > 0, "at -2 it bends up")
		if bend > 0 {
			require.InDelta(t, bend, weight, 1e-2)
		}
	}
}

// Under a normal density the points have its variance in every direction.
func TestDesignHasTheVarianceOfANormalDensity(t *testing.T) {
	const dimensions, beyond = 4, 1.1
	design := centralComposite(dimensions, beyond*math.Sqrt(dimensions))
	require.Len(t, design, 24)
	weight := 1 / (float64(len(design)) * (beyond*beyond - 1)) // beside 1 for the center
	total := 1 + weight*float64(len(design))
	for i := range dimensions {
		for j := range dimensions {
			sum := 0.0
			for _, z := range design {
				sum += weight * z[i] * z[j] / total
			}
			want := 0.0
			if i == j {
				want = 1
			}
			require.InDelta(t, want, sum, 1e-12)
		}
	}
}

// The points stand for all spreads: what they say of a pair is near what thousands
// on a lattice say, and nearer than the likeliest alone.
func TestPointsStandForAllSpreads(t *testing.T) {
	h := small()
	l := &learner{history: h}
	top := l.mode()
	points := l.integrationPoints(top)
	require.Len(t, points, 25)
	var lattice []*point
	_, highest := l.at(top)
	total := 0.0
	const most = 6 // steps of a half to each side
	for i := range (2*most + 1) * (2*most + 1) * (2*most + 1) * (2*most + 1) {
		x := append([]float64(nil), top...)
		for k := range x {
			x[k] += float64(i%(2*most+1)-most) / 2
			i /= 2*most + 1
		}
		l.last = points[0].effects
		e, value := l.at(x)
		if weight := math.Exp(value - highest); weight > 1e-6 {
			lattice = append(lattice, newPoint(e, weight))
			total += weight
		}
	}
	for i := range lattice {
		lattice[i].share /= total
	}
	require.Greater(t, len(lattice), 3000)
	said := func(points []*point, variety, stock string) (mean, deviation float64) {
		take, _ := (&Nursery{history: h, points: points}).Take(variety, stock)
		return take.Mean(), math.Sqrt(take.Beta.Variance())
	}
	for _, pair := range [][2]string{{"0", "0"}, {"2", "1"}, {"1", "1"}, {"new", "0"}, {"new", "new"}} {
		mean, deviation := said(points, pair[0], pair[1])
		trueMean, trueDeviation := said(lattice, pair[0], pair[1])
		topMean, topDeviation := said([]*point{newPoint(points[0].effects, 1)}, pair[0], pair[1])
		t.Logf("%v: mean %.4f, deviation %.4f by all; %.4f, %.4f by the points; %.4f, %.4f by the likeliest", pair, trueMean, trueDeviation, mean, deviation, topMean, topDeviation)
		require.InDelta(t, trueMean, mean, 0.1*trueDeviation, pair)
		require.InEpsilon(t, trueDeviation, deviation, 0.05, pair)
		require.Less(t, math.Abs(mean-trueMean), math.Abs(topMean-trueMean), pair)
		require.Less(t, math.Abs(deviation-trueDeviation), math.Abs(topDeviation-trueDeviation), pair)
	}
}
