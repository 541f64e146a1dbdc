package forecast

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// effects are the likeliest effects under given spreads, with what is needed to
// know how certain they are.
//
// A vector of all effects holds the base, the stocks, the varieties and the pairs
// (see parts). The base is kept less firstLogit, so that all are expected to be 0.
//
// Each pair has the logit base + variety + stock + pair. Its own effect touches no
// other pair, so that it is eliminated first from the matrix of second derivatives:
// what is left of the pair's weight w is w/(1+w·σ²). Then each variety, which touches
// no other variety. What remains has one row for the base and one for each stock.
type effects struct {
	history *history
	spreads spreads
	values  []float64 // of the effects
	prior   []float64 // precision of the normal density of each effect

	slope, weight []float64 // of the log likelihood of each pair by its logit; weight is minus the second derivative
	batchTerms    float64   // of the log likelihood, those that the effects do not change
	likelihood    float64   // log likelihood of the batches and effects

	varieties []float64   // diagonal of the varieties, pairs eliminated
	cross     [][]float64 // of each variety with base and stocks
	rest      mat.Cholesky
}

// newEffects starts from other effects, or from none.
func newEffects(h *history, s spreads, from *effects) *effects {
	size := 1 + len(h.stocks) + len(h.varieties) + len(h.pairs)
	e := &effects{history: h, spreads: s, values: make([]float64, size), prior: make([]float64, size),
		slope: make([]float64, len(h.pairs)), weight: make([]float64, len(h.pairs))}
	if from != nil {
		copy(e.values, from.values)
	}
	shared, varieties, pairs := h.parts(e.prior)
	shared[0] = 1 / (firstLogitSpread * firstLogitSpread)
	for _, of := range []struct {
		prior     []float64
		deviation float64
	}{{shared[1:], s.stock()}, {varieties, s.variety()}, {pairs, s.pair()}} {
		for i := range of.prior {
			of.prior[i] = 1 / (of.deviation * of.deviation)
		}
	}
	for _, p := range h.pairs {
		for _, c := range p.counts {
			e.batchTerms -= logRisingFactorial(s.precision(), c.grafts).value
		}
	}
	return e
}

// logit is that of the mean take of a pair.
func (e *effects) logit(n int) float64 {
	p := e.history.pairs[n]
	shared, varieties, pairs := e.history.parts(e.values)
	return firstLogit + shared[0] + shared[1+p.stock] + varieties[p.variety] + pairs[n]
}

// evaluate works out the likelihood where the effects are, with slope and weight.
func (e *effects) evaluate() {
	e.likelihood = e.batchTerms
	for i, x := range e.values {
		e.likelihood -= e.prior[i] * x * x / 2
	}
	precision := e.spreads.precision()
	for n, p := range e.history.pairs {
		var value float64
		value, e.slope[n], e.weight[n] = p.likelihood(e.logit(n), precision)
		e.likelihood += value
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
		good, bad := logRisingFactorial(precision*mean, c.finished), logRisingFactorial(precision*rest, c.grafts-c.finished)
		byMean := precision * (good.first - bad.first)
		value += good.value + bad.value
		slope += byMean * change
		weight -= precision*precision*(good.second+bad.second)*change*change + byMean*change*(rest-mean)
		n := float64(c.grafts)
		usual += n * change * (precision + 1) / (precision + n)
	}
	return value, slope, max(weight, leastWeight*usual)
}

// maximize moves the effects to where they are likeliest, by Newton's method, and
// reports whether it got there.
func (e *effects) maximize() bool {
	const steps, near = 60, 1e-9
	e.evaluate()
	for range steps {
		if !e.factorize() {
			return false
		}
		step, gain := e.newtonStep()
		if gain < near {
			return true
		}
		if !e.lineSearch(step, gain) {
			return gain < 1e-4 // as near as rounding lets it
		}
	}
	return false
}

// lineSearch goes along a step as far as it leads upwards.
func (e *effects) lineSearch(step []float64, gain float64) bool {
	before, from := e.likelihood, slices.Clone(e.values)
	for part := 1.0; part > 1e-6; part /= 2 {
		floats.AddScaledTo(e.values, from, part, step)
		if e.evaluate(); e.likelihood >= before+1e-4*part*gain {
			return true
		}
	}
	copy(e.values, from)
	e.evaluate()
	return false
}

// factorize works out the matrix of second derivatives where the effects are.
func (e *effects) factorize() bool {
	shared, varieties, pairs := e.history.parts(e.prior)
	rest := mat.NewSymDense(len(shared), nil)
	add := func(i, j int, x float64) { rest.SetSym(i, j, rest.At(i, j)+x) }
	for i, prior := range shared {
		add(i, i, prior)
	}
	e.varieties, e.cross = slices.Clone(varieties), make([][]float64, len(varieties))
	for v := range e.cross {
		e.cross[v] = make([]float64, len(shared))
	}
	for n, p := range e.history.pairs {
		left := e.weight[n] / (1 + e.weight[n]/pairs[n])
		e.varieties[p.variety] += left
		e.cross[p.variety][0] += left
		e.cross[p.variety][1+p.stock] += left
		add(0, 0, left)
		add(0, 1+p.stock, left)
		add(1+p.stock, 1+p.stock, left)
	}
	for v, cross := range e.cross {
		rest.SymRankOne(rest, -1/e.varieties[v], mat.NewVecDense(len(cross), cross))
	}
	return e.rest.Factorize(rest)
}

// newtonStep returns the change that Newton's method makes, and how much it would
// gain at first: slope times step. What gonum says of the condition is left out:
// the priors keep it good, and a step that is none does not gain.
func (e *effects) newtonStep() (step []float64, gain float64) {
	slopes := make([]float64, len(e.values))
	for i, x := range e.values {
		slopes[i] = -e.prior[i] * x
	}
	_, _, prior := e.history.parts(e.prior)
	shared, varieties, pairs := e.history.parts(slopes)
	for n, p := range e.history.pairs {
		shared[0] += e.slope[n]
		shared[1+p.stock] += e.slope[n]
		varieties[p.variety] += e.slope[n]
		pairs[n] += e.slope[n]
	}
	step = slices.Clone(slopes)
	shared, varieties, pairs = e.history.parts(step)
	for n, p := range e.history.pairs {
		gone := e.weight[n] * pairs[n] / (e.weight[n] + prior[n])
		shared[0] -= gone
		shared[1+p.stock] -= gone
		varieties[p.variety] -= gone
	}
	for v, cross := range e.cross {
		floats.AddScaled(shared, -varieties[v]/e.varieties[v], cross)
	}
	solved := mat.NewVecDense(len(shared), shared)
	_ = e.rest.SolveVecTo(solved, solved)
	for v, cross := range e.cross {
		varieties[v] = (varieties[v] - floats.Dot(cross, shared)) / e.varieties[v]
	}
	for n, p := range e.history.pairs {
		moved := shared[0] + shared[1+p.stock] + varieties[p.variety]
		pairs[n] = (pairs[n] - e.weight[n]*moved) / (e.weight[n] + prior[n])
	}
	return step, floats.Dot(slopes, step)
}

// logDet is that of the matrix of second derivatives.
func (e *effects) logDet() float64 {
	sum := e.rest.LogDet()
	for _, x := range e.varieties {
		sum += math.Log(x)
	}
	_, _, prior := e.history.parts(e.prior)
	for n, w := range e.weight {
		sum += math.Log(w + prior[n])
	}
	return sum
}

// evidence is the log of the likelihood of the batches over all effects, by
// Laplace's approximation, and of the density of the spreads.
func (e *effects) evidence() float64 {
	value := e.likelihood + e.spreads.prior() - e.logDet()/2
	for _, prior := range e.prior {
		value += math.Log(prior) / 2
	}
	return value
}

// point is one of the spreads that may be true, with the effects under it.
type point struct {
	*effects
	share float64 // of the probability
	// covariance is that of the base and the stocks. It is worked out once: to solve
	// for each pair takes as long for one as this for all.
	covariance mat.SymDense
}

func newPoint(e *effects, share float64) *point {
	p := &point{effects: e, share: share}
	_ = e.rest.InverseTo(&p.covariance) // of the condition as in newtonStep
	return p
}

// logitOf returns the mean and the variance of the logit of a pair; each of
// variety, stock and pair may be none.
func (p *point) logitOf(variety, stock, n int) (mean, variance float64) {
	shared, varieties, pairs := p.history.parts(p.values)
	along := make([]float64, len(shared)) // how much the logit moves with the base and the stocks
	mean, along[0] = firstLogit+shared[0], 1
	if stock != none {
		mean += shared[1+stock]
		along[1+stock] = 1
	} else {
		variance += p.spreads.stock() * p.spreads.stock()
	}
	common := 0.0 // variance of what the pair has in common with others
	if variety != none {
		mean += varieties[variety]
		common = 1 / p.varieties[variety]
		floats.AddScaled(along, -1/p.varieties[variety], p.cross[variety])
	} else {
		variance += p.spreads.variety() * p.spreads.variety()
	}
	vector := mat.NewVecDense(len(along), along)
	common += mat.Inner(vector, &p.covariance, vector)
	if n == none {
		return mean, variance + common + p.spreads.pair()*p.spreads.pair()
	}
	_, _, prior := p.history.parts(p.prior)
	part := prior[n] / (p.weight[n] + prior[n])
	return mean + pairs[n], variance + part*part*common + 1/(p.weight[n]+prior[n])
}
