package photos

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"strconv"
)

// dice are the chance of one photograph.
type dice struct{ *rand.Rand }

// newDice are those that belong to what is asked for.
func newDice(kind Kind, symbol string, megapixels float64, seed uint64) dice {
	sum := fnv.New64a()
	sum.Write([]byte(string(kind) + "/" + symbol + "/" + strconv.FormatFloat(megapixels, 'g', -1, 64)))
	return dice{rand.New(rand.NewPCG(seed, sum.Sum64()))}
}

// within is uniform within a span.
func (d dice) within(s span) float64 { return d.between(s.from, s.to) }

func (d dice) between(from, to float64) float64 { return from + d.Float64()*(to-from) }

// logBetween is uniform in its logarithm.
func (d dice) logBetween(from, to float64) float64 {
	return math.Exp(d.between(math.Log(from), math.Log(to)))
}

// angle is any angle, in radians.
func (d dice) angle() float64 { return d.Float64() * 2 * math.Pi }

func (d dice) chance(share float64) bool { return d.Float64() < share }
