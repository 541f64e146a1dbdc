package photos

import "math"

// drop is a drop of water on a sheet: a lens with a bright rim and a spot where
// a lamp or the sky is seen. Lengths are pixels of the slip.
type drop struct {
	middle point
	radius float64
	bulge  float64 // by how much it enlarges in its middle, as a share
	shift  point   // by how much it shifts what lies below it, radii
	spot   point   // middle of the spot, radii from the middle
	wide   float64 // radius of the spot, radii
	shine  float32 // light of the spot
	rim    float32 // light that the rim adds on the side away from the lamp
	dark   float32 // share of light that the rim takes on the side of the lamp
	clear  float32 // share of light that comes through
}

// through returns what is seen through the drop at a point, the share of its
// light that comes through, and the light that the drop adds.
func (d *drop) through(p point) (from point, clear, glint float32, inside bool) {
	way := p.minus(d.middle).times(1 / d.radius)
	far := way.dot(way)
	if far >= 1 {
		return p, 1, 0, false
	}
	// A drop lies flat at its rim and bulges in its middle, so that what is
	// below is seen enlarged there and pressed together at the rim.
	from = d.middle.plus(way.times(d.radius * (1 - d.bulge*(1-far)))).plus(d.shift.times(d.radius * (1 - far)))
	// On the side of the light the drop's edge is dark, on the other side it
	// gathers light.
	towards := float32(way.dot(d.spot) / d.spot.length())
	clear = d.clear
	if far > 0.5 {
		edge := float32((far - 0.5) / 0.5)
		clear *= 1 - d.dark*edge*(0.6+0.4*towards)
		glint = d.rim * edge * edge * max(0, 0.2-towards)
	}
	if spot := way.minus(d.spot); spot.dot(spot) < d.wide*d.wide {
		glint += d.shine
	}
	return from, clear, glint, true
}

// drops are some drops on a label, at least two of them on the symbol.
func (d dice) drops(s slip) []drop {
	side := math.Sqrt(s.symbol.across.length() * s.symbol.down.length()) // of a square as large
	made := make([]drop, 3+d.IntN(6))
	light := point{1, 0}.turned(d.angle())
	for i := range made {
		u, v := d.between(0, 1), d.between(0, 1)
		if i >= 2 {
			u, v = d.between(-0.4, 1.4), d.between(-0.4, 1.4)
		}
		made[i] = drop{
			middle: s.symbol.at(u, v), radius: side * d.between(0.03, 0.12),
			bulge: d.between(0.1, 0.4), shift: point{d.between(0, 0.4), 0}.turned(d.angle()),
			spot: light.times(d.between(0.35, 0.55)), wide: d.between(0.1, 0.22), shine: float32(d.between(0.5, 1.5)),
			rim: float32(d.between(0.2, 0.7)), dark: float32(d.between(0.25, 0.6)), clear: float32(d.between(0.85, 0.97)),
		}
	}
	return made
}
