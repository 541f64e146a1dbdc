package forecast

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Each pair has the logit base + variety + stock + pair. Its own effect touches no
// other pair, so that it is eliminated first: what is left of the pair's weight w
// is w/(1+w·σ²). Then each variety, which touches no other variety. What remains
// has one row for the base and one for each stock.

// shared is how much of the weight of a pair goes to what it shares with others.
func (e *effects) shared(n int) float64 {
	deviation := e.spreads.pair()
	return e.weight[n] / (1 + e.weight[n]*deviation*deviation)
}

// eliminate works out the system where the effects are.
func (e *effects) eliminate() bool {
	size := 1 + len(e.stock)
	rest := mat.NewSymDense(size, nil)
	add := func(i, j int, x float64) { rest.SetSym(i, j, rest.At(i, j)+x) }
	e.varieties = make([]float64, len(e.variety))
	e.cross = make([][]float64, len(e.variety))
	for v := range e.cross {
		e.varieties[v] = tie(e.spreads.variety())
		e.cross[v] = make([]float64, size)
	}
	add(0, 0, tie(firstLogitSpread))
	for s := range e.stock {
		add(1+s, 1+s, tie(e.spreads.stock()))
	}
	for n, p := range e.history.pairs {
		w := e.shared(n)
		e.varieties[p.variety] += w
		e.cross[p.variety][0] += w
		e.cross[p.variety][1+p.stock] += w
		add(0, 0, w)
		add(0, 1+p.stock, w)
		add(1+p.stock, 1+p.stock, w)
	}
	// Written into the matrix itself: with many stocks this is most of the work.
	raw := rest.RawSymmetric() // the upper half
	for v, cross := range e.cross {
		var touched []int // a variety was grafted on few stocks
		for i, x := range cross {
			if x != 0 {
				touched = append(touched, i)
			}
		}
		for k, i := range touched {
			row := raw.Data[i*raw.Stride : i*raw.Stride+size]
			for _, j := range touched[k:] {
				row[j] -= cross[i] * cross[j] / e.varieties[v]
			}
		}
	}
	return e.rest.Factorize(rest)
}

// step is a change of all effects.
type step struct {
	base                 float64
	variety, stock, pair []float64
}

// step returns the change that Newton's method makes, and how much it would gain
// at first: slope times step.
func (e *effects) step() (change step, gain float64) {
	shared := mat.NewVecDense(1+len(e.stock), nil) // slopes of the base and the stocks
	shared.SetVec(0, -tie(firstLogitSpread)*(e.base-firstLogit))
	for s, effect := range e.stock {
		shared.SetVec(1+s, -tie(e.spreads.stock())*effect)
	}
	ofVariety := make([]float64, len(e.variety))
	for v, effect := range e.variety {
		ofVariety[v] = -tie(e.spreads.variety()) * effect
	}
	ofPair := make([]float64, len(e.pair))
	tied := tie(e.spreads.pair())
	for n, p := range e.history.pairs {
		ofPair[n] = e.slope[n] - tied*e.pair[n]
		left := e.slope[n] - e.weight[n]*ofPair[n]/(e.weight[n]+tied)
		ofVariety[p.variety] += left
		shared.SetVec(0, shared.AtVec(0)+left)
		shared.SetVec(1+p.stock, shared.AtVec(1+p.stock)+left)
	}
	for v, cross := range e.cross {
		for i, x := range cross {
			shared.SetVec(i, shared.AtVec(i)-x*ofVariety[v]/e.varieties[v])
		}
	}
	change = step{variety: ofVariety, stock: make([]float64, len(e.stock)), pair: ofPair}
	solved := e.solve(shared)
	change.base = solved.AtVec(0)
	for s := range change.stock {
		change.stock[s] = solved.AtVec(1 + s)
	}
	for v, cross := range e.cross {
		for i, x := range cross {
			change.variety[v] -= x * solved.AtVec(i)
		}
		change.variety[v] /= e.varieties[v]
	}
	for n, p := range e.history.pairs {
		moved := change.base + change.variety[p.variety] + change.stock[p.stock]
		change.pair[n] = (ofPair[n] - e.weight[n]*moved) / (e.weight[n] + tied)
		gain += e.slope[n] * (moved + change.pair[n])
	}
	gain -= tie(firstLogitSpread) * (e.base - firstLogit) * change.base
	for _, of := range e.kinds(change) {
		for i, effect := range of.effects {
			gain -= tie(of.deviation) * effect * of.changes[i]
		}
	}
	return change, gain
}

// solve solves for the base and the stocks. What gonum says of the condition is
// left out: the ties keep it good, and a step that is none does not gain.
func (e *effects) solve(right *mat.VecDense) *mat.VecDense {
	solved := mat.NewVecDense(right.Len(), nil)
	_ = e.rest.SolveVecTo(solved, right)
	return solved
}

// kind is the effects of varieties, stocks or pairs, and a change of them.
type kind struct {
	effects, changes []float64
	deviation        float64
}

func (e *effects) kinds(change step) [3]kind {
	return [3]kind{
		{e.variety, change.variety, e.spreads.variety()},
		{e.stock, change.stock, e.spreads.stock()},
		{e.pair, change.pair, e.spreads.pair()},
	}
}

// add moves the effects by a part of a step.
func (e *effects) add(change step, part float64) {
	e.base += part * change.base
	for _, of := range e.kinds(change) {
		for i, x := range of.changes {
			of.effects[i] += part * x
		}
	}
}

// evidence is the log of the likelihood of the batches over all effects, by
// Laplace's approximation, and of the density of the spreads.
func (e *effects) evidence() float64 {
	s := e.spreads
	value := e.value + s.prior() - e.rest.LogDet()/2 -
		float64(len(e.variety))*s[1] - float64(len(e.stock))*s[2] - float64(len(e.pair))*s[3]
	for _, x := range e.varieties {
		value -= math.Log(x) / 2
	}
	for _, w := range e.weight {
		value -= math.Log(w+tie(s.pair())) / 2
	}
	return value
}

// logitOf returns the mean and the variance of the logit of a pair; each of
// variety, stock and pair may be none.
func (p *point) logitOf(variety, stock, n int) (mean, variance float64) {
	mean = p.base
	shared := make([]float64, 1+len(p.stock)) // of the base and the stocks
	shared[0] = 1
	if stock != none {
		mean += p.stock[stock]
		shared[1+stock] = 1
	} else {
		variance += p.spreads.stock() * p.spreads.stock()
	}
	known := 0.0 // variance of what the pair shares with others
	if variety != none {
		mean += p.variety[variety]
		known = 1 / p.varieties[variety]
		for i, x := range p.cross[variety] {
			shared[i] -= x / p.varieties[variety]
		}
	} else {
		variance += p.spreads.variety() * p.spreads.variety()
	}
	var touched []int // few of them: a variety was grafted on few stocks
	for i, x := range shared {
		if x != 0 {
			touched = append(touched, i)
		}
	}
	for _, i := range touched {
		for _, k := range touched {
			known += shared[i] * shared[k] * p.covariance.At(i, k)
		}
	}
	if n == none {
		return mean, variance + known + p.spreads.pair()*p.spreads.pair()
	}
	tied := tie(p.spreads.pair())
	part := tied / (p.effects.weight[n] + tied)
	return mean + p.pair[n], variance + part*part*known + 1/(p.effects.weight[n]+tied)
}
