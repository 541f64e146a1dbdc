package forecast_test

import (
	"errors"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// The least n with P(X >= r) >= sure, computed by this rule apart from this package
// (computed). That 11 and 17 plants show one of a recessive type with 95 % and 99 % is
// taught in plant breeding (memory).
func TestHowManyOfAKnownTake(t *testing.T) {
	for _, test := range []struct {
		share  float64
		want   int
		sure   float64
		grafts int
	}{
		{0.6, 10, 0.95, 23}, {0.6, 50, 0.95, 96}, {0.6, 100, 0.95, 185},
		{0.7, 10, 0.95, 19}, {0.7, 50, 0.95, 81}, {0.7, 100, 0.95, 156},
		{0.8, 10, 0.95, 16}, {0.8, 50, 0.95, 69}, {0.8, 100, 0.95, 135},
		{0.9, 10, 0.95, 13}, {0.9, 50, 0.95, 60}, {0.9, 100, 0.95, 117},
		{0.25, 1, 0.95, 11}, {0.25, 1, 0.99, 17},
		{1, 40, 0.9999, 40},
	} {
		grafts, err := known(t, test.share).HowMany(test.want, test.sure)
		require.NoError(t, err)
		require.Equal(t, test.grafts, grafts, "%v, %d, %v", test.share, test.want, test.sure)
	}
}

// The number is enough, one less is not.
func TestHowManyIsTheLeast(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	refused := 0
	for range 200 {
		take := randomTake(t, random)
		want, sure := 1+random.IntN(200), 0.02+0.96*random.Float64()
		grafts, err := take.HowMany(want, sure)
		if err != nil {
			require.Less(t, take.Chance(forecast.MostGrafts, want), sure)
			refused++
			continue
		}
		require.GreaterOrEqual(t, take.Chance(grafts, want), sure)
		require.Less(t, take.Chance(grafts-1, want), sure)
	}
	require.Positive(t, refused)
	require.Less(t, refused, 150)
}

func TestHowManyThatNoNumberGives(t *testing.T) {
	_, err := uncertain(0.05, 2).HowMany(40, 0.9)
	require.EqualError(t, err, "no number of grafts gives 40 plants with a chance of 90 %: even 100000 do so with one of 29 % only")
	var none *records.Problem
	require.True(t, errors.As(err, &none))
	require.Equal(t, "ask for fewer plants or a smaller chance, or see why so few grafts of this pair became plants", none.Hint())
	require.ErrorIs(t, err, forecast.ErrNoNumber)
	_, err = known(t, 0).HowMany(1, 0.5)
	require.ErrorIs(t, err, forecast.ErrNoNumber)
	_, err = known(t, 1).HowMany(forecast.MostGrafts+1, 0.5)
	require.ErrorIs(t, err, forecast.ErrNoNumber)
	grafts, err := known(t, 1).HowMany(forecast.MostGrafts, 0.5)
	require.NoError(t, err)
	require.Equal(t, forecast.MostGrafts, grafts)

	_, err = known(t, 0.5).HowMany(0, 0.9)
	require.EqualError(t, err, "0 plants wanted: it must be 1 or more")
	_, err = known(t, 0.5).HowMany(10, 1)
	require.EqualError(t, err, "a chance of 1: it lies between 0 and 1, such as 0.9")
}
