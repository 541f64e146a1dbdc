package forecast

import "math"

// spreads are the parameters of the model, as logarithms: the precision of a batch
// about the mean of its pair, and the standard deviations, on the logit scale, of
// the effects of varieties, stocks and pairs.
type spreads [4]float64

func (s spreads) precision() float64 { return math.Exp(s[0]) }
func (s spreads) variety() float64   { return math.Exp(s[1]) }
func (s spreads) stock() float64     { return math.Exp(s[2]) }
func (s spreads) pair() float64      { return math.Exp(s[3]) }

// What is assumed before any batch is seen; see Learn.
const (
	firstLogit, firstLogitSpread = 0.405, 1.0 // logit of a take of 0.6
	usualPrecision               = 20.0       // a batch differs by 0.1 from a take of 0.6
	precisionSpread              = 1.2        // on the log scale
	mainScale                    = 0.7        // of varieties and stocks
	pairScale                    = 0.5        // of pairs
)

// start is where the search for the likeliest spreads begins.
func start() spreads {
	return spreads{math.Log(usualPrecision), math.Log(mainScale / 2), math.Log(mainScale / 2), math.Log(pairScale / 2)}
}

// prior is the log density of spreads, but for a constant: log normal for the
// precision, half normal for the standard deviations, each by its logarithm.
func (s spreads) prior() float64 {
	z := (s[0] - math.Log(usualPrecision)) / precisionSpread
	value := -z * z / 2
	for i, scale := range []float64{mainScale, mainScale, pairScale} {
		ratio := math.Exp(s[i+1]) / scale
		value += s[i+1] - ratio*ratio/2
	}
	return value
}

// derivatives are a sum of logarithms with its first two derivatives.
type derivatives struct{ value, first, second float64 }

// logRisingFactorial returns the sum of log(x+i) for i from 0 to count−1, which is
// log Γ(x+count) − log Γ(x), with its derivatives by x. x is above 0.
//
// The first terms are summed; the rest is the formula of Euler and Maclaurin from
// a ≥ 16 on, with an error under 1e-12. Differences of log Γ, of the digamma and of
// the zeta function, which gonum has, would lose digits where x is large.
func logRisingFactorial(x float64, count int) derivatives {
	const few, far = 24, 16.0
	var s derivatives
	direct := count
	if count > few {
		direct = max(0, int(math.Ceil(far-x)))
	}
	product := 1.0
	for i := range direct {
		at := x + float64(i)
		one := 1 / at
		s.first += one
		s.second -= one * one
		if product *= at; i%8 == 7 { // so few that nothing overflows
			s.value += math.Log(product)
			product = 1
		}
	}
	s.value += math.Log(product)
	if direct == count {
		return s
	}
	a, b := x+float64(direct), x+float64(count)
	length := float64(count - direct)
	grown := math.Log1p(length / a)
	u, v := 1/a, 1/b
	u2, v2 := u*u, v*v
	first := length * u * v // u − v
	s.value += length*math.Log(b) + a*grown - length - grown/2 - first/12 +
		(u*u2-v*v2)/360 - (u*u2*u2-v*v2*v2)/1260 + (u*u2*u2*u2-v*v2*v2*v2)/1680
	s.first += grown + first/2 + (u2-v2)/12 - (u2*u2-v2*v2)/120 + (u2*u2*u2-v2*v2*v2)/252 - (u2*u2*u2*u2-v2*v2*v2*v2)/240
	s.second -= first + (u2-v2)/2 + (u*u2-v*v2)/6 - (u*u2*u2-v*v2*v2)/30 + (u*u2*u2*u2-v*v2*v2*v2)/42 - (u*u2*u2*u2*u2-v*v2*v2*v2*v2)/30
	return s
}
