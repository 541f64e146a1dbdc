package forecast

import "math"

// spreads are what effects are drawn from, as logarithms: the precision of a
// batch about the mean of its pair, and the standard deviations, on the logit
// scale, of the effects of varieties, stocks and pairs.
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
