package forecast

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// effects are the likeliest effects under given spreads, with what is needed to
// tell how sure they are.
type effects struct {
	history *history
	spreads spreads
	base    float64 // logit of the take where all effects are 0
	variety []float64
	stock   []float64
	pair    []float64

	slope, weight []float64 // of the log likelihood of each pair by its logit; weight is minus the second derivative
	batchTerms    float64   // of the log likelihood, those that the effects do not change
	value         float64   // log likelihood of the batches and effects
	system
}

// system is the matrix of second derivatives after pairs and then varieties were
// eliminated: each variety stands in an own row, and base and stocks are left.
type system struct {
	varieties []float64   // diagonal
	cross     [][]float64 // of each variety with base and stocks
	rest      mat.Cholesky
}

func newEffects(h *history, s spreads, from *effects) *effects {
	e := &effects{
		history: h, spreads: s, base: firstLogit,
		variety: make([]float64, len(h.varieties)), stock: make([]float64, len(h.stocks)), pair: make([]float64, len(h.pairs)),
		slope: make([]float64, len(h.pairs)), weight: make([]float64, len(h.pairs)),
	}
	if from != nil {
		e.base = from.base
		copy(e.variety, from.variety)
		copy(e.stock, from.stock)
		copy(e.pair, from.pair)
	}
	for _, p := range h.pairs {
		for _, c := range p.counts {
			e.batchTerms -= rising(s.precision(), c.grafts).value
		}
	}
	return e
}

// logit is that of the mean take of a pair.
func (e *effects) logit(n int) float64 {
	p := e.history.pairs[n]
	return e.base + e.variety[p.variety] + e.stock[p.stock] + e.pair[n]
}

// tie returns how strongly effects of a standard deviation are tied to 0.
func tie(deviation float64) float64 { return 1 / (deviation * deviation) }

// look works out the value where the effects are, and slope and weight.
func (e *effects) look() {
	e.value = e.batchTerms - tie(firstLogitSpread)*(e.base-firstLogit)*(e.base-firstLogit)/2
	for _, of := range e.kinds(step{}) {
		for _, effect := range of.effects {
			e.value -= tie(of.deviation) * effect * effect / 2
		}
	}
	precision := e.spreads.precision()
	for n, p := range e.history.pairs {
		var value float64
		value, e.slope[n], e.weight[n] = p.likelihood(e.logit(n), precision)
		e.value += value
	}
}

// leastWeight is how much of the weight that batches have on average is kept
// where the likelihood bends the other way: else a step could lead anywhere.
const leastWeight = 0.1

// likelihood is the log likelihood of the batches of a pair, less what its logit
// does not change, with its slope by the logit and minus its second derivative.
func (p pair) likelihood(logit, precision float64) (value, slope, weight float64) {
	mean, rest := 1/(1+math.Exp(-logit)), 1/(1+math.Exp(logit))
	change := mean * rest // of the mean by the logit
	usual := 0.0
	for _, c := range p.counts {
		good, bad := rising(precision*mean, c.finished), rising(precision*rest, c.grafts-c.finished)
		byMean := precision * (good.slope - bad.slope)
		value += good.value + bad.value
		slope += byMean * change
		weight -= precision*precision*(good.bend+bad.bend)*change*change + byMean*change*(rest-mean)
		n := float64(c.grafts)
		usual += n * change * (precision + 1) / (precision + n)
	}
	return value, slope, max(weight, leastWeight*usual)
}

// settle moves the effects to where they are likeliest, by Newton's method, and
// reports whether it got there.
func (e *effects) settle() bool {
	const steps, near = 60, 1e-9
	e.look()
	for range steps {
		if !e.eliminate() {
			return false
		}
		step, gain := e.step()
		if gain < near {
			return true
		}
		if !e.move(step, gain) {
			return gain < 1e-4 // as near as rounding lets it
		}
	}
	return false
}

// move goes along a step as far as it leads upwards.
func (e *effects) move(step step, gain float64) bool {
	before := e.value
	for part := 1.0; part > 1e-6; part /= 2 {
		e.add(step, part)
		if e.look(); e.value >= before+1e-4*part*gain {
			return true
		}
		e.add(step, -part)
	}
	e.look()
	return false
}
