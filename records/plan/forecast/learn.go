package forecast

import (
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"
)

// Nursery is what was learned from the batches of a nursery.
type Nursery struct {
	history *history
	points  []*point
}

// Learn learns the takes of pairs from batches with a known outcome; those that
// are Uncounted or Early are left out. Names that differ in letter case alone are
// one.
//
// The number of finished plants of a batch is taken to be beta-binomial: the
// share of the batch follows Beta(μ·M, (1−μ)·M), where the mean μ is that of the
// pair and the precision M that of the nursery, and
//
//	logit μ = base + variety + stock + pair
//
// with effects from normal distributions about 0, whose standard deviations are
// learned as well. So a pair with little history leans on its stock, its variety
// and the nursery, and the less these say of it the wider its take is.
//
// The likelihood of M and the standard deviations is that over all effects, by
// Laplace's approximation (Breslow & Clayton 1993, Journal of the American
// Statistical Association 88:9; from memory), with the second derivatives as they
// are where the likelihood bends down, and else a tenth of their usual size. Three
// batches tell nearly nothing of four spreads, so that weak densities are put on
// them: base normal about logit 0.6 with 1, log M
// normal about log 20 with 1.2, the standard deviations half normal with 0.7 for
// varieties and stocks and 0.5 for pairs. These are guesses of what nurseries are
// like, without a source.
//
// How uncertain they still are is kept as 25 points about the likeliest: see
// integrationPoints.
func Learn(outcomes []Outcome) *Nursery {
	n := &Nursery{history: historyOf(outcomes)}
	if n.history.all == 0 {
		return n
	}
	l := &learner{history: n.history}
	n.points = l.integrationPoints(l.mode())
	return n
}

// learner keeps the effects that it found last, from which the next are near.
type learner struct {
	history *history
	last    *effects
}

// impossible stands for spreads under which no effects were found.
const impossible = -1e10

// at returns the effects under some spreads, and the log of how likely these are.
func (l *learner) at(x []float64) (e *effects, evidence float64) {
	for _, from := range []*effects{l.last, nil} {
		e = newEffects(l.history, spreads(x), from)
		if e.maximize() {
			if value := e.evidence(); !math.IsNaN(value) {
				l.last = e
				return e, value
			}
		}
	}
	return e, impossible
}

func (l *learner) minus(x []float64) float64 { _, value := l.at(x); return -value }

// mode climbs to the likeliest spreads.
func (l *learner) mode() []float64 {
	problem := optimize.Problem{
		Func: l.minus,
		Grad: func(gradient, x []float64) {
			fd.Gradient(gradient, l.minus, x, &fd.Settings{Formula: fd.Central, Step: 1e-3})
		},
	}
	first := start()
	const flat = 0.02 // where the slopes are so small, the top is nearer than matters
	result, _ := optimize.Minimize(problem, first[:], &optimize.Settings{GradientThreshold: flat, MajorIterations: 40}, &optimize.BFGS{})
	if result == nil || result.F >= -impossible {
		return first[:]
	}
	return result.X // also one that stopped early
}

// integrationPoints are points about the likeliest spreads that stand for all: the
// likeliest itself, and the corners and axes of a cube about it, on a sphere, in
// directions in which the curvature is alike (the central composite design of Rue,
// Martino & Chopin 2009, Journal of the Royal Statistical Society B 71:319; from
// memory). The weights are such that a normal density would have its variance; each
// is then changed by how far the density at the point is from normal.
func (l *learner) integrationPoints(top []float64) []*point {
	const (
		beyond   = 1.1 // radius over that where a normal density has its mean square
		mostSkew = 3.0 // so that no point outweighs the others by the shape of its curve alone
	)
	dimensions := len(top)
	center, highest := l.at(top)
	points := []*point{newPoint(center, 1)}
	axes := l.axes(top)
	radius := beyond * math.Sqrt(float64(dimensions))
	sphere := centralComposite(dimensions, radius)
	for _, z := range sphere {
		x := append([]float64(nil), top...)
		for i := range x {
			for k, along := range z {
				x[i] += axes.At(i, k) * along
			}
		}
		l.last = center
		e, value := l.at(x)
		if value == impossible {
			continue
		}
		weight := math.Exp(min(value-highest+radius*radius/2, mostSkew)) / (float64(len(sphere)) * (beyond*beyond - 1))
		points = append(points, newPoint(e, weight))
	}
	total := 0.0
	for _, p := range points {
		total += p.share
	}
	for _, p := range points {
		p.share /= total
	}
	return points
}

// axes returns, as columns, the directions in which the density of spreads
// falls as a normal density does in one standard deviation.
func (l *learner) axes(top []float64) *mat.Dense {
	const step, flattest = 0.2, 0.3 // flattest: flatter than what was assumed before is no better known
	curvature := mat.NewSymDense(len(top), nil)
	fd.Hessian(curvature, l.minus, top, &fd.Settings{Formula: fd.Central, Step: step})
	var eigen mat.EigenSym
	var vectors mat.Dense
	if !eigen.Factorize(curvature, true) {
		vectors.CloneFrom(mat.NewDiagDense(len(top), []float64{1, 1, 1, 1}))
		return &vectors
	}
	eigen.VectorsTo(&vectors)
	for k, value := range eigen.Values(nil) {
		for i := range top {
			vectors.Set(i, k, vectors.At(i, k)/math.Sqrt(max(value, flattest)))
		}
	}
	return &vectors
}

// centralComposite returns the corners of a cube and the points of its axes on a sphere.
func centralComposite(dimensions int, radius float64) [][]float64 {
	var all [][]float64
	for corner := range 1 << dimensions {
		z := make([]float64, dimensions)
		for i := range z {
			z[i] = radius / math.Sqrt(float64(dimensions))
			if corner>>i&1 == 1 {
				z[i] = -z[i]
			}
		}
		all = append(all, z)
	}
	for i := range dimensions {
		for _, along := range []float64{radius, -radius} {
			z := make([]float64, dimensions)
			z[i] = along
			all = append(all, z)
		}
	}
	return all
}

// Guess is the take of a pair of which nothing is known, not even of other pairs:
// 0.6, and quite possibly 0.3 or 0.9. A guess, no source.
func Guess() Take { return Take{Beta: distuv.Beta{Alpha: 3, Beta: 2}} }

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
			weight := point.share * weights[i] / math.Sqrt(math.Pi)
			mean += weight * share
			square += weight * share * share
			within += weight * share * (1 - share) / (point.spreads.precision() + 1)
		}
	}
	return Take{Beta: momentsOf(mean, square-mean*mean+within)}, basis
}

// momentsOf returns the beta distribution with a mean and a variance.
func momentsOf(mean, variance float64) distuv.Beta {
	precision := mean*(1-mean)/variance - 1
	return distuv.Beta{Alpha: mean * precision, Beta: (1 - mean) * precision}
}
