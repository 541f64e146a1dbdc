package forecast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/plan/forecast"
)

// families are those of Saxony with 12 children or more, by the number of boys
// among the first 12 (Geissler 1889; secondary).
func families() []forecast.Outcome {
	var all []forecast.Outcome
	for boys, many := range []int{3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7} {
		for range many {
			all = append(all, forecast.Outcome{Grafts: 12, Finished: boys})
		}
	}
	return all
}

func TestFitBetaToFamilies(t *testing.T) {
	take, err := forecast.FitBeta(families())
	require.NoError(t, err)
	beta, spread := take.Beta()
	require.True(t, spread)
	require.InDelta(t, 34.10, beta.A, 0.05) // computed, apart from this package
	require.InDelta(t, 31.58, beta.B, 0.05) // computed, apart from this package
}

// What a binomial explains is a known share.
func TestFitBetaSaysWhereThereIsNoSpread(t *testing.T) {
	for _, test := range []struct {
		reason   string
		outcomes []forecast.Outcome
		share    float64
	}{
		{"all alike", []forecast.Outcome{{Grafts: 20, Finished: 12}, {Grafts: 20, Finished: 12}, {Grafts: 10, Finished: 6}}, 0.6},
		{"nearer to each other than by luck", []forecast.Outcome{{Grafts: 20, Finished: 11}, {Grafts: 20, Finished: 13}}, 0.6},
		{"one batch", []forecast.Outcome{{Grafts: 40, Finished: 10}}, 0.25},
		{"all took", []forecast.Outcome{{Grafts: 4, Finished: 4}, {Grafts: 9, Finished: 9}}, 1},
		{"none took", []forecast.Outcome{{Grafts: 4}, {Grafts: 9}}, 0},
		{"batches of one graft show no spread", []forecast.Outcome{{Grafts: 1}, {Grafts: 1, Finished: 1}}, 0.5},
		{"the uncounted are left out", []forecast.Outcome{{Grafts: 10, Finished: 5}, {Grafts: 10, Finished: 10, Uncounted: true}}, 0.5},
	} {
		take, err := forecast.FitBeta(test.outcomes)
		require.NoError(t, err, test.reason)
		_, spread := take.Beta()
		require.False(t, spread, test.reason)
		require.InDelta(t, test.share, take.Mean(), 1e-12, test.reason)
	}
	_, err := forecast.FitBeta([]forecast.Outcome{{Grafts: 10, Finished: 10, Uncounted: true}})
	require.EqualError(t, err, "there is no batch with a known outcome")
}

// From many batches the truth comes back, also where few of many or nearly all
// took, and of large batches as of small ones.
func TestFitBetaFindsTheTruth(t *testing.T) {
	const batches = 3000
	for _, truth := range []forecast.Beta{{A: 6, B: 4}, {A: 0.5, B: 4}, {A: 90, B: 10}, {A: 0.4, B: 0.3}, {A: 150, B: 200}} {
		for _, grafts := range []int{20, 400} {
			w := newWorld(9)
			w.random = rand.New(rand.NewPCG(uint64(grafts), 2))
			w.precision = truth.A + truth.B
			var outcomes []forecast.Outcome
			for range batches {
				outcomes = append(outcomes, w.graftAt(truth.Mean(), grafts))
			}
			take, err := forecast.FitBeta(outcomes)
			require.NoError(t, err)
			beta, spread := take.Beta()
			require.True(t, spread, "%+v", truth)
			require.InDelta(t, truth.Mean(), beta.Mean(), 0.02)
			correlation := 1 / (truth.A + truth.B + 1)
			unsure := math.Sqrt(2/float64(batches*grafts*(grafts-1))) + correlation/30 // its standard error where there is none, and more where there is some
			require.InDelta(t, correlation, 1/(beta.A+beta.B+1), 3.5*unsure, "%+v of %d: %+v", truth, grafts, beta)
		}
	}
}
