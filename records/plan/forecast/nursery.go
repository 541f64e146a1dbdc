package forecast

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Guess is the take of a pair of which nothing is known, not even of other pairs:
// 0.6, and quite possibly 0.3 or 0.9. A guess, no source.
func Guess() Take { return Take{beta: Beta{3, 2}, uncertain: true} }

// Take returns the take of the next batch of a pair, and what it stands on.
//
// It is the beta distribution with the mean and the variance of the batch's share
// p, over all that is uncertain: the mean is E μ, the variance
//
//	Var p = Var μ + E[μ(1−μ)/(M+1)]
//
// where the logit of μ is normal under given spreads and integrated by Gauss and
// Hermite's rule, and the spreads are those of the points that Learn kept.
func (n *Nursery) Take(variety, stock string) (Take, Basis) {
	basis := n.history.basis(variety, stock)
	if len(n.points) == 0 {
		return Guess(), basis
	}
	var nodes, weights [21]float64
	quad.Hermite{}.FixedLocations(nodes[:], weights[:], math.Inf(-1), math.Inf(1))
	v, s, p := n.history.find(variety, stock)
	var mean, square, within float64
	for _, point := range n.points {
		logit, variance := point.logitOf(v, s, p)
		for i, node := range nodes {
			share := 1 / (1 + math.Exp(-logit-math.Sqrt(2*variance)*node))
			weight := point.weight * weights[i] / math.Sqrt(math.Pi)
			mean += weight * share
			square += weight * share * share
			within += weight * share * (1 - share) / (point.spreads.precision() + 1)
		}
	}
	return Take{beta: momentsOf(mean, square-mean*mean+within), uncertain: true}, basis
}

// momentsOf returns the beta distribution with a mean and a variance.
func momentsOf(mean, variance float64) Beta {
	precision := mean*(1-mean)/variance - 1
	return Beta{mean * precision, (1 - mean) * precision}
}
