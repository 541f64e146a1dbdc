package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/plan/forecast"
)

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
		{"Clopper-Pearson", forecast.ClopperPearson, 81, 263, 0.95, 0.2527, 0.3676, 5e-5},
		{"Clopper-Pearson", forecast.ClopperPearson, 15, 148, 0.95, 0.0578, 0.1617, 5e-5},
		{"Clopper-Pearson", forecast.ClopperPearson, 0, 20, 0.95, 0, 0.1684, 5e-5},
		{"Clopper-Pearson", forecast.ClopperPearson, 1, 29, 0.95, 0.0009, 0.1776, 5e-5},
		// NIST/SEMATECH e-Handbook 7.2.4.1
		{"Clopper-Pearson", forecast.ClopperPearson, 4, 20, 0.90, 0.071354, 0.401029, 1e-5},
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
			for name, of := range map[string]func(int, int, float64) (forecast.Interval, error){"Wilson": forecast.Wilson, "Clopper-Pearson": forecast.ClopperPearson} {
				interval, err := of(k, n, 0.9)
				require.NoError(t, err)
				other, _ := of(n-k, n, 0.9)
				wider, _ := of(k, n, 0.99)
				share := float64(k) / float64(n)
				require.True(t, 0 <= interval.Low && interval.Low <= share && share <= interval.High && interval.High <= 1, "%s %d/%d: %v", name, k, n, interval)
				require.InDelta(t, interval.Low, 1-other.High, 1e-9, "%s %d/%d", name, k, n)
				require.True(t, wider.Low <= interval.Low && interval.High <= wider.High, "%s %d/%d", name, k, n)
			}
			exact, _ := forecast.ClopperPearson(k, n, 0.9)
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
	for _, of := range []func(int, int, float64) (forecast.Interval, error){forecast.Wilson, forecast.ClopperPearson} {
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
			_, err := of(bad.k, bad.n, bad.level)
			require.EqualError(t, err, bad.want)
		}
	}
}
