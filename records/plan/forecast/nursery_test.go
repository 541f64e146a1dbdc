package forecast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records/plan/forecast"
)

// of makes an outcome.
func of(variety, stock string, finished, grafts int) forecast.Outcome {
	return forecast.Outcome{Variety: variety, Stock: stock, Finished: finished, Grafts: grafts}
}

func times(n int, outcomes ...forecast.Outcome) (all []forecast.Outcome) {
	for range n {
		all = append(all, outcomes...)
	}
	return all
}

func TestWithoutHistoryTheTakeIsAWideGuess(t *testing.T) {
	for _, outcomes := range [][]forecast.Outcome{nil, {{Variety: "Ada", Stock: "Fen", Grafts: 10, Finished: 10, Uncounted: true}}} {
		take, basis := forecast.Learn(outcomes).Take("Ada", "Fen")
		require.Equal(t, forecast.Take{Beta: distuv.Beta{Alpha: 3, Beta: 2}}, take)
		require.Equal(t, "no batch with a known outcome: a wide guess", basis.Words())
	}
}

func TestBasis(t *testing.T) {
	nursery := forecast.Learn([]forecast.Outcome{
		of("Ada", "Fen", 20, 30), of("ADA", "fen", 21, 30), of("Ada", "Moor", 9, 30), of("Bo", "Fen", 10, 20), of("Bo", "Moor", 3, 20),
		{Variety: "Ada", Stock: "Fen", Grafts: 10, Finished: 10, Uncounted: true},
	})
	for _, test := range []struct{ variety, stock, words string }{
		{"Ada", "Fen", "2 batches of this pair, 3 of this stock, 3 of this variety, 5 in all"},
		{"bo", "MOOR", "1 batch of this pair, 2 of this stock, 2 of this variety, 5 in all"},
		{"Cy", "Fen", "no batch of this pair, 3 of this stock, none of this variety, 5 in all"},
	} {
		_, basis := nursery.Take(test.variety, test.stock)
		require.Equal(t, test.words, basis.Words())
	}
}

// mean is the expected take of a pair.
func mean(nursery *forecast.Nursery, variety, stock string) float64 {
	take, _ := nursery.Take(variety, stock)
	return take.Mean()
}

// width is from the lowest tenth to the highest.
func width(nursery *forecast.Nursery, variety, stock string) float64 {
	take, _ := nursery.Take(variety, stock)
	return take.Quantile(0.9) - take.Quantile(0.1)
}

// A pair leans on its parts while it has little history of its own.
func TestPairsLeanOnTheirParts(t *testing.T) {
	history := times(4, of("Ada", "Fen", 36, 40), of("Bo", "Fen", 32, 40), of("Cy", "Fen", 34, 40), of("Ada", "Moor", 16, 40), of("Bo", "Moor", 11, 40))
	nursery := forecast.Learn(history)
	require.InDelta(t, 0.9, mean(nursery, "Ada", "Fen"), 0.03, "a pair with much history is as it was")
	require.InDelta(t, 0.275, mean(nursery, "Bo", "Moor"), 0.05)

	require.Greater(t, mean(nursery, "Dun", "Fen"), mean(nursery, "Dun", "Moor")+0.2, "a new variety does as its stock does")
	require.Greater(t, width(nursery, "Dun", "Fen"), width(nursery, "Ada", "Fen"), "and is less sure")
	require.Greater(t, mean(nursery, "Ada", "Heath"), mean(nursery, "Bo", "Heath"), "on a new stock a variety does as it did")
	cyOnMoor := mean(nursery, "Cy", "Moor")
	require.True(t, cyOnMoor > 0.2 && cyOnMoor < 0.6, "a new pair of known parts leans on both: %v", cyOnMoor)

	bad := of("Cy", "Moor", 2, 40)
	once, often := forecast.Learn(append(times(1, bad), history...)), forecast.Learn(append(times(8, bad), history...))
	require.Less(t, mean(once, "Cy", "Moor"), cyOnMoor)
	require.Greater(t, mean(once, "Cy", "Moor"), 0.06, "one bad batch is not believed alone")
	require.InDelta(t, 0.05, mean(often, "Cy", "Moor"), 0.02, "eight are")
	require.Less(t, width(often, "Cy", "Moor"), width(once, "Cy", "Moor"))
}

// Batches that differ much make the next one uncertain, however many there are.
func TestUnsteadyBatchesKeepTheTakeWide(t *testing.T) {
	steady := forecast.Learn(times(20, of("Ada", "Fen", 30, 50), of("Ada", "Fen", 31, 50), of("Ada", "Fen", 29, 50)))
	unsteady := forecast.Learn(times(20, of("Ada", "Fen", 30, 50), of("Ada", "Fen", 46, 50), of("Ada", "Fen", 14, 50)))
	require.InDelta(t, 0.6, mean(steady, "Ada", "Fen"), 0.02)
	require.InDelta(t, 0.6, mean(unsteady, "Ada", "Fen"), 0.02)
	require.Greater(t, width(unsteady, "Ada", "Fen"), 4*width(steady, "Ada", "Fen"))
	require.Less(t, width(steady, "Ada", "Fen"), 0.12)
}

// Three batches do not give nonsense: whatever they say, the take stays between
// what it was thought to be and what was seen, and wide.
func TestFewBatchesAreNotOverrated(t *testing.T) {
	for _, finished := range []int{0, 5, 12, 20} {
		nursery := forecast.Learn(times(3, of("Ada", "Fen", finished, 20)))
		seen := float64(finished) / 20
		got := mean(nursery, "Ada", "Fen")
		require.True(t, got >= min(seen, 0.6)-0.02 && got <= max(seen, 0.6)+0.02, "%d of 20: %v", finished, got)
		require.Greater(t, width(nursery, "Bo", "Moor"), 0.4, "a pair without history, %d of 20", finished)
		require.Greater(t, width(nursery, "Bo", "Moor"), width(nursery, "Ada", "Fen"))
	}
}

// The order in which batches are told changes nothing that matters.
func TestOrderOfBatchesDoesNotMatter(t *testing.T) {
	for seed := range uint64(10) {
		w := newWorld(100 + seed)
		outcomes := w.history(w.logEven(5, 60))
		nursery := forecast.Learn(outcomes)
		again := append([]forecast.Outcome(nil), outcomes...)
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(again), func(i, j int) { again[i], again[j] = again[j], again[i] })
		shuffled := forecast.Learn(again)
		for v := range len(w.variety) + 1 {
			require.InDelta(t, mean(nursery, varietyName(v), stockName(0)), mean(shuffled, varietyName(v), stockName(0)), 0.003)
			require.InDelta(t, width(nursery, varietyName(v), stockName(0)), width(shuffled, varietyName(v), stockName(0)), 0.006)
		}
	}
}

// Whatever the outcomes, the take is a distribution that can be planned with.
func FuzzLearn(f *testing.F) {
	f.Add([]byte{0, 0, 40, 20})
	f.Add([]byte{0, 0, 1, 0, 1, 1, 1, 1, 2, 0, 255, 255, 3, 3, 255, 0})
	f.Add([]byte{0, 0, 255, 255, 0, 0, 255, 0, 0, 0, 255, 255, 0, 0, 255, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		var outcomes []forecast.Outcome
		for len(data) >= 4 && len(outcomes) < 40 {
			scale := 1 + 35*int(data[0]>>7) // up to 255 grafts, or up to 9,180
			outcomes = append(outcomes, of(varietyName(int(data[0]%8)), stockName(int(data[1]%4)), scale*int(data[3]), scale*int(data[2])))
			data = data[4:]
		}
		nursery := forecast.Learn(outcomes)
		for _, variety := range []string{varietyName(0), "New"} {
			for _, stock := range []string{stockName(0), "New"} {
				take, _ := nursery.Take(variety, stock)
				require.True(t, take.Beta.Alpha > 0 && take.Beta.Beta > 0 && !math.IsInf(take.Beta.Alpha+take.Beta.Beta, 1), "%v", take)
				require.False(t, math.IsNaN(take.Quantile(0.1)))
				chance := take.Chance(50, 20)
				require.True(t, chance >= 0 && chance <= 1)
			}
		}
	})
}

// many is a nursery of 500 batches of 60 pairs: 12 varieties on 5 stocks.
func many(varieties, stocks, batches int) []forecast.Outcome {
	w := newWorld(1)
	w.variety, w.stock, w.pair = make([]float64, varieties), make([]float64, stocks), make([][]float64, varieties)
	for v := range w.pair {
		w.variety[v] = 0.5 * w.random.NormFloat64()
		w.pair[v] = make([]float64, stocks)
	}
	var all []forecast.Outcome
	for i := range batches {
		all = append(all, w.graft(i%varieties, i/varieties%stocks, 10+w.random.IntN(91)))
	}
	return all
}

func BenchmarkLearn500Batches60Pairs(b *testing.B) {
	outcomes := many(12, 5, 500)
	for b.Loop() {
		forecast.Learn(outcomes)
	}
}

func BenchmarkLearn500Batches60Varieties(b *testing.B) {
	outcomes := many(60, 1, 500)
	for b.Loop() {
		forecast.Learn(outcomes)
	}
}

func BenchmarkLearn3000Batches400Varieties(b *testing.B) {
	outcomes := many(400, 12, 3000)
	for b.Loop() {
		forecast.Learn(outcomes)
	}
}

func BenchmarkTake(b *testing.B) {
	nursery := forecast.Learn(many(12, 5, 500))
	for b.Loop() {
		nursery.Take(varietyName(3), stockName(2))
	}
}

// BenchmarkRates3000Batches300Stocks compares about as many pairs as there are batches.
func BenchmarkRates3000Batches300Stocks(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	var outcomes []forecast.Outcome
	for range 3000 {
		grafts := 10 + random.IntN(90)
		outcomes = append(outcomes, forecast.Outcome{Variety: varietyName(random.IntN(40)), Stock: stockName(random.IntN(300)), Grafts: grafts, Finished: random.IntN(grafts + 1)})
	}
	for b.Loop() {
		rates, err := forecast.RatesOf(outcomes, outcomes, forecast.ByPair, 0.95)
		require.NoError(b, err)
		require.Greater(b, len(rates.Groups), 2500)
	}
}
