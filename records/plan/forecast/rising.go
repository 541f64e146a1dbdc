package forecast

import "math"

// series is a sum of logarithms with its first two derivatives.
type series struct{ value, slope, bend float64 }

// rising returns the sum of log(x+i) for i from 0 to count−1, which is
// log Γ(x+count) − log Γ(x), with its derivatives by x. x is above 0.
//
// The first terms are summed; the rest is the formula of Euler and Maclaurin from
// a ≥ 16 on, with an error under 1e-12. Differences of log Γ would lose digits
// where x is large.
func rising(x float64, count int) series {
	const few, far = 24, 16.0
	var s series
	direct := count
	if count > few {
		direct = max(0, int(math.Ceil(far-x)))
	}
	product := 1.0
	for i := range direct {
		at := x + float64(i)
		one := 1 / at
		s.slope += one
		s.bend -= one * one
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
	s.slope += grown + first/2 + (u2-v2)/12 - (u2*u2-v2*v2)/120 + (u2*u2*u2-v2*v2*v2)/252 - (u2*u2*u2*u2-v2*v2*v2*v2)/240
	s.bend -= first + (u2-v2)/2 + (u*u2-v*v2)/6 - (u*u2*u2-v*v2*v2)/30 + (u*u2*u2*u2-v*v2*v2*v2)/42 - (u*u2*u2*u2*u2-v*v2*v2*v2*v2)/30
	return s
}
