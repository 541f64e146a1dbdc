package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records/plan/forecast"
)

// clopperPearson returns the exact interval: the shares for which neither so few
// nor so many are rarer than half of what the level leaves. It holds at least its
// level for every share.
//
// Source: Clopper & Pearson 1934, Biometrika 26:404, by quantiles of the beta
// distribution as in NIST/SEMATECH e-Handbook 7.2.4.1.
func clopperPearson(k, n int, level float64) (forecast.Interval, error) {
	interval := forecast.Interval{Low: 0, High: 1}
	if k > 0 {
		interval.Low = distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile((1 - level) / 2)
	}
	if k < n {
		interval.High = distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile((1 + level) / 2)
	}
	return interval, nil
}

func TestIntervalsAgreeWithPublishedOnes(t *testing.T) {
	tests := []struct {
		name      string
		of        func(k, n int, level float64) (forecast.Interval, error)
		k, n      int
		level     float64
		low, high float64
		within    float64
	}{
		// Newcombe 1998, Statistics in Medicine 17:857, Table I; secondary
		{"Wilson", forecast.Wilson, 81, 263, 0.95, 0.2553, 0.3662, 5e-5},
		{"Wilson", forecast.Wilson, 15, 148, 0.95, 0.0624, 0.1605, 5e-5},
		{"Wilson", forecast.Wilson, 0, 20, 0.95, 0, 0.1611, 5e-5},
		{"Wilson", forecast.Wilson, 1, 29, 0.95, 0.0061, 0.1718, 5e-5},
		{"Clopper-Pearson", clopperPearson, 81, 263, 0.95, 0.2527, 0.3676, 5e-5},
		{"Clopper-Pearson", clopperPearson, 15, 148, 0.95, 0.0578, 0.1617, 5e-5},
		{"Clopper-Pearson", clopperPearson, 0, 20, 0.95, 0, 0.1684, 5e-5},
		{"Clopper-Pearson", clopperPearson, 1, 29, 0.95, 0.0009, 0.1776, 5e-5},
		// NIST/SEMATECH e-Handbook 7.2.4.1
		{"Clopper-Pearson", clopperPearson, 4, 20, 0.90, 0.071354, 0.401029, 1e-5},
	}
	for _, test := range tests {
		interval, err := test.of(test.k, test.n, test.level)
		require.NoError(t, err)
		require.InDelta(t, test.low, interval.Low, test.within, "%s %d/%d", test.name, test.k, test.n)
		require.InDelta(t, test.high, interval.High, test.within, "%s %d/%d", test.name, test.k, test.n)
	}
}

// For every count of up to 60: the share seen lies within, turning plants and
// failures round turns the interval round, a higher level is wider, and the exact
// limits leave just half of what the level leaves beyond the count.
func TestIntervalsHold(t *testing.T) {
	for n := 1; n <= 60; n++ {
		for k := 0; k <= n; k++ {
			for name, of := range map[string]func(int, int, float64) (forecast.Interval, error){"Wilson": forecast.Wilson, "Clopper-Pearson": clopperPearson} {
				interval, err := of(k, n, 0.9)
				require.NoError(t, err)
				other, _ := of(n-k, n, 0.9)
				wider, _ := of(k, n, 0.99)
				share := float64(k) / float64(n)
				require.True(t, 0 <= interval.Low && interval.Low <= share && share <= interval.High && interval.High <= 1, "%s %d/%d: %v", name, k, n, interval)
				require.InDelta(t, interval.Low, 1-other.High, 1e-9, "%s %d/%d", name, k, n)
				require.True(t, wider.Low <= interval.Low && interval.High <= wider.High, "%s %d/%d", name, k, n)
			}
			exact, _ := clopperPearson(k, n, 0.9)
			low, err := forecast.Known(exact.Low)
			require.NoError(t, err)
			high, err := forecast.Known(exact.High)
			require.NoError(t, err)
			if k > 0 {
				require.InDelta(t, 0.05, low.Chance(n, k), 1e-7, "%d/%d", k, n)
			}
			if k < n {
				require.InDelta(t, 0.95, high.Chance(n, k+1), 1e-7, "%d/%d", k, n)
			}
		}
	}
}

func TestIntervalsOfWhatCannotBe(t *testing.T) {
	for _, bad := range []struct {
		k, n  int
		level float64
		want  string
	}{
		{0, 0, 0.95, "0 of 0 is no count of plants: the first is 0 to the second, the second 1 or more"},
		{-1, 5, 0.95, "-1 of 5 is no count of plants: the first is 0 to the second, the second 1 or more"},
		{6, 5, 0.95, "6 of 5 is no count of plants: the first is 0 to the second, the second 1 or more"},
		{3, 5, 1, "a level of 1: it lies between 0 and 1"},
		{3, 5, 0, "a level of 0: it lies between 0 and 1"},
	} {
		_, err := forecast.Wilson(bad.k, bad.n, bad.level)
		require.EqualError(t, err, bad.want)
	}
}
