package forecast_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/records/plan/forecast"
)

// world is a nursery whose truth is known. It is drawn from what nurseries may be
// like, which was written down before the forecast was ever held against it:
//
//	typical take          0.35 to 0.9
//	varieties, stocks     2 to 20, 1 to 6
//	effects, logit scale  normal; of varieties and stocks with a standard deviation
//	                      of 0.1 to 1 each, of pairs with one of 0 to 0.6
//	precision of a batch  5 to 150, evenly by its logarithm
//	history               5 to 120 batches, evenly by the logarithm, of 10 to 100 grafts
//	popularity            of varieties and of stocks as exponential numbers: a few
//	                      are grafted often and many seldom
//
// All that is not said otherwise is even over its range.
type world struct {
	base, precision            float64
	variety, stock             []float64
	pair                       [][]float64
	likedVarieties, likedStock []float64
	spreads                    [3]float64
	random                     *rand.Rand
}

func newWorld(seed uint64) *world {
	random := rand.New(rand.NewPCG(seed, 7))
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	take := between(0.35, 0.9)
	w := &world{
		base: math.Log(take / (1 - take)), precision: math.Exp(between(math.Log(5), math.Log(150))),
		spreads: [3]float64{between(0.1, 1), between(0.1, 1), between(0, 0.6)},
		variety: make([]float64, 2+random.IntN(19)), stock: make([]float64, 1+random.IntN(6)), random: random,
	}
	for v := range w.variety {
		w.variety[v] = w.spreads[0] * random.NormFloat64()
		w.likedVarieties = append(w.likedVarieties, random.ExpFloat64())
		w.pair = append(w.pair, make([]float64, len(w.stock)))
		for s := range w.stock {
			w.pair[v][s] = w.spreads[2] * random.NormFloat64()
		}
	}
	for s := range w.stock {
		w.stock[s] = w.spreads[1] * random.NormFloat64()
		w.likedStock = append(w.likedStock, random.ExpFloat64())
	}
	return w
}

// mean is the true mean take of a pair. A variety after the last is new: its
// effects are drawn when asked for.
func (w *world) mean(v, s int) float64 {
	logit := w.base + w.stock[s]
	if v < len(w.variety) {
		logit += w.variety[v] + w.pair[v][s]
	} else {
		logit += math.Hypot(w.spreads[0], w.spreads[2]) * w.random.NormFloat64()
	}
	return 1 / (1 + math.Exp(-logit))
}

// beta is the true distribution of the share of a batch about its mean.
func (w *world) beta(mean float64) distuv.Beta {
	return distuv.Beta{Alpha: mean * w.precision, Beta: (1 - mean) * w.precision}
}

// liked draws a number by popularity.
func (w *world) liked(popularity []float64) int {
	total := 0.0
	for _, x := range popularity {
		total += x
	}
	at := total * w.random.Float64()
	for i, x := range popularity {
		if at -= x; at < 0 {
			return i
		}
	}
	return len(popularity) - 1
}

// graft makes a batch and returns what becomes of it.
func (w *world) graft(v, s, grafts int) forecast.Outcome {
	outcome := w.graftAt(w.mean(v, s), grafts)
	outcome.Variety, outcome.Stock = varietyName(v), stockName(s)
	return outcome
}

// graftAt makes a batch of a pair with a mean take.
func (w *world) graftAt(mean float64, grafts int) forecast.Outcome {
	beta := w.beta(mean)
	beta.Src = w.random
	share := beta.Rand()
	finished := 0
	for range grafts {
		if w.random.Float64() < share {
			finished++
		}
	}
	return forecast.Outcome{Grafts: grafts, Finished: finished}
}

func varietyName(v int) string { return fmt.Sprintf("Variety %d", v) }
func stockName(s int) string   { return fmt.Sprintf("Stock %d", s) }

// history makes so many batches by popularity.
func (w *world) history(batches int) []forecast.Outcome {
	var all []forecast.Outcome
	for range batches {
		all = append(all, w.graft(w.liked(w.likedVarieties), w.liked(w.likedStock), 10+w.random.IntN(91)))
	}
	return all
}

// logEven draws a number evenly by its logarithm.
func (w *world) logEven(low, high int) int {
	return int(float64(low) * math.Pow(float64(high+1)/float64(low), w.random.Float64()))
}
