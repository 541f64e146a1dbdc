package forecast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records/plan/forecast"
)

func known(t testing.TB, share float64) forecast.Take {
	t.Helper()
	take, err := forecast.Known(share)
	require.NoError(t, err)
	return take
}

func uncertain(a, b float64) forecast.Take {
	return forecast.Take{Beta: distuv.Beta{Alpha: a, Beta: b}}
}

func TestChance(t *testing.T) {
	tests := []struct {
		reason       string
		take         forecast.Take
		grafts, want int
		chance       float64
	}{
		{"nothing wanted", known(t, 0), 0, 0, 1},
		{"more wanted than grafted", known(t, 1), 4, 5, 0},
		{"all take", known(t, 1), 5, 5, 1},
		{"none takes", known(t, 0), 5, 1, 0},
		{"the zero take is none", forecast.Take{}, 5, 1, 0},
		{"one of one", known(t, 0.3), 1, 1, 0.3},
		{"both of two", known(t, 0.5), 2, 2, 0.25},
		{"any of ten", known(t, 0.1), 10, 1, 1 - math.Pow(0.9, 10)},
		{"all of a thousand, a chance too small for a sum of others", known(t, 0.5), 1000, 1000, math.Pow(0.5, 1000)},
		{"any share alike: each number alike", uncertain(1, 1), 9, 4, 0.6},
		{"the mean for one graft", uncertain(3, 2), 1, 1, 0.6},
		{"both of two: A(A+1)/((A+B)(A+B+1))", uncertain(3, 2), 2, 2, 12.0 / 30},
		{"all or nothing", uncertain(1e-9, 1e-9), 9000, 4500, 0.5},
		{"all or nothing, mostly all", uncertain(3e-9, 1e-9), 50, 1, 0.75},
		{"as good as known", uncertain(3e14, 7e14), 1, 1, 0.3},
	}
	for _, test := range tests {
		require.InEpsilon(t, 1+test.chance, 1+test.take.Chance(test.grafts, test.want), 1e-7, test.reason)
		if test.chance > 0 {
			require.InEpsilon(t, test.chance, test.take.Chance(test.grafts, test.want), 1e-6, test.reason)
		}
	}
}

// A take that is known nearly for certain gives what a known one gives.
func TestUncertainTakeComesToKnownOne(t *testing.T) {
	for _, share := range []float64{0.01, 0.4, 0.93} {
		for _, grafts := range []int{1, 30, 900, 9000} {
			want := int(share * float64(grafts))
			require.InDelta(t, known(t, share).Chance(grafts, want), uncertain(share*1e13, (1-share)*1e13).Chance(grafts, want), 1e-8, "%v of %d", share, grafts)
		}
	}
}

// More grafts never give a smaller chance, more wanted never a larger one.
func TestChanceIsMonotone(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		take := randomTake(t, random)
		want := 1 + random.IntN(40)
		last := 0.0
		for grafts := want; grafts < want+150; grafts++ {
			chance := take.Chance(grafts, want)
			require.GreaterOrEqual(t, chance, last-1e-13, "%+v %d of %d", take, want, grafts)
			require.GreaterOrEqual(t, chance, take.Chance(grafts, want+1), "%+v %d of %d", take, want, grafts)
			last = chance
		}
	}
}

// randomTake is a known take, or one from nearly all or nothing to nearly known.
func randomTake(t testing.TB, random *rand.Rand) forecast.Take {
	if random.IntN(3) == 0 {
		return known(t, random.Float64())
	}
	return uncertain(math.Exp(-7+21*random.Float64()), math.Exp(-7+21*random.Float64()))
}

// Whatever the take, a chance is one, and the chances that so many became plants
// and that the rest failed add up to 1.
func FuzzChance(f *testing.F) {
	f.Add(3.0, 2.0, 50, 20)
	f.Add(1e-300, 1e300, 9000, 1)
	f.Add(0.5, 0.5, 100, 100)
	f.Add(1e-12, 1e-12, 8999, 4000)
	f.Fuzz(func(t *testing.T, a, b float64, grafts, want int) {
		if !(a > 0 && b > 0) || math.IsInf(a+b, 1) || grafts < 0 || grafts > 20_000 || want < 0 || want > grafts {
			t.Skip()
		}
		take, turned := uncertain(a, b), uncertain(b, a)
		chance, failing := take.Chance(grafts, want), turned.Chance(grafts, grafts-want+1)
		require.True(t, chance >= 0 && chance <= 1, "%v", chance)
		require.InDelta(t, 1, chance+failing, 1e-9)
	})
}

func TestTakesThatCannotBe(t *testing.T) {
	for _, share := range []float64{-0.1, 1.1, math.NaN()} {
		_, err := forecast.Known(share)
		require.ErrorContains(t, err, "it is a share of 0 to 1")
	}
}

func TestBeta(t *testing.T) {
	beta := distuv.Beta{Alpha: 3, Beta: 2}
	require.InDelta(t, 0.6, beta.Mean(), 1e-15)
	require.InDelta(t, 0.04, beta.Variance(), 1e-15) // AB/((A+B)²(A+B+1)) = 6/150
	for _, x := range []float64{0.05, 0.3, 0.6142724318, 0.95} {
		below := 4*x*x*x - 3*x*x*x*x // integral of 12x²(1−x)
		require.InDelta(t, x, beta.Quantile(below), 1e-9)
	}
	require.Equal(t, []float64{0, 1}, []float64{beta.Quantile(0), beta.Quantile(1)})
	take := uncertain(3, 2)
	require.Equal(t, beta.Quantile(0.1), take.Quantile(0.1))
	require.Equal(t, 0.6, take.Mean())
	require.Equal(t, 0.7, known(t, 0.7).Mean())
	require.Equal(t, 0.7, known(t, 0.7).Quantile(0.1))
}

func BenchmarkChance(b *testing.B) {
	take := uncertain(30, 20)
	for b.Loop() {
		take.Chance(9000, 5000)
	}
}
