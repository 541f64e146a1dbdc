package forecast

import (
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// Nursery is what was learned from the batches of a nursery.
type Nursery struct {
	history *history
	points  []*point
}

// point is one of the spreads that may be true, with the effects under it.
type point struct {
	*effects
	weight float64
	// covariance is that of the base and the stocks. It is worked out once: to solve
	// for each pair takes as long for one as this for all.
	covariance mat.SymDense
}

func newPoint(e *effects, weight float64) *point {
	p := &point{effects: e, weight: weight}
	_ = e.rest.InverseTo(&p.covariance) // of the condition as in solve
	return p
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
// surroundings.
func Learn(outcomes []Outcome) *Nursery {
	n := &Nursery{history: historyOf(outcomes)}
	if n.history.all == 0 {
		return n
	}
	l := &learner{history: n.history}
	n.points = l.surroundings(l.likeliest())
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
		if e.settle() {
			if value := e.evidence(); !math.IsNaN(value) {
				l.last = e
				return e, value
			}
		}
	}
	return e, impossible
}

// likeliest climbs to the likeliest spreads.
func (l *learner) likeliest() []float64 {
	down := func(x []float64) float64 { _, value := l.at(x); return -value }
	problem := optimize.Problem{
		Func: down,
		Grad: func(gradient, x []float64) {
			fd.Gradient(gradient, down, x, &fd.Settings{Formula: fd.Central, Step: 1e-3})
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

// surroundings are points about the likeliest spreads that stand for all: the
// likeliest itself, and the corners and axes of a cube about it, on a sphere, in
// directions in which the curvature is alike (the central composite design of Rue,
// Martino & Chopin 2009, Journal of the Royal Statistical Society B 71:319; from
// memory). The weights are such that a normal density would have its variance; each
// is then changed by how far the density at the point is from normal.
func (l *learner) surroundings(top []float64) []*point {
	const (
		beyond   = 1.1 // radius over that where a normal density has its mean square
		mostSkew = 3.0 // so that no point outweighs the others by the shape of its curve alone
	)
	dimensions := len(top)
	center, highest := l.at(top)
	points := []*point{newPoint(center, 1)}
	directions := l.directions(top)
	radius := beyond * math.Sqrt(float64(dimensions))
	sphere := designOf(dimensions, radius)
	for _, z := range sphere {
		x := append([]float64(nil), top...)
		for i := range x {
			for k, along := range z {
				x[i] += directions.At(i, k) * along
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
		total += p.weight
	}
	for _, p := range points {
		p.weight /= total
	}
	return points
}

// directions returns, as columns, the directions in which the density of spreads
// falls as a normal density does in one standard deviation.
func (l *learner) directions(top []float64) *mat.Dense {
	const step, flattest = 0.2, 0.3 // flattest: flatter than what was assumed before is no better known
	down := func(x []float64) float64 { _, value := l.at(x); return -value }
	curvature := mat.NewSymDense(len(top), nil)
	fd.Hessian(curvature, down, top, &fd.Settings{Formula: fd.Central, Step: step})
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

// designOf returns the corners of a cube and the points of its axes on a sphere.
func designOf(dimensions int, radius float64) [][]float64 {
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
