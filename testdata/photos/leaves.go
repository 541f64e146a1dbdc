package photos

import "math"

// leaf is a leaf seen from above. Lengths are pixels of the ground.
type leaf struct {
	foot   point
	along  point // from foot to tip, of length 1
	long   float64
	wide   float64 // half its width, as a share of its length
	belly  float64 // where it is widest: below 1 nearer to the foot
	teeth  float64 // of its edge: how many, 0 for none
	veins  float64 // pairs
	colour colour
	vein   float32 // light of the veins, of the blade's
	fold   float32 // light of the right half, of the left one's
	gloss  float32
}

// leaves lays leaves over each other until their areas add up to a share of
// the ground.
func (g *ground) leaves(share float64) {
	if share == 0 {
		return
	}
	kinds := make([]leaf, 1+g.IntN(3))
	for i := range kinds {
		green := g.between(60, 135)
		kinds[i] = leaf{
			long: g.between(18, 60) * g.grain, wide: g.between(0.14, 0.32), belly: g.between(0.7, 1.3), veins: float64(4 + g.IntN(6)),
			colour: shade(green*g.between(0.45, 0.85), green, green*g.between(0.25, 0.6)),
			vein:   float32(g.between(0.8, 1.7)), fold: float32(g.between(0.6, 0.95)), gloss: float32(g.between(0, 0.25)),
		}
		if g.chance(0.5) {
			kinds[i].teeth = float64(8 + g.IntN(16))
		}
	}
	// Leaves crowd around shoots.
	shoots := make([]point, 2+g.IntN(8))
	for i := range shoots {
		shoots[i] = point{g.Float64() * float64(g.box.Dx()), g.Float64() * float64(g.box.Dy())}
	}
	total := share * float64(g.box.Dx()*g.box.Dy())
	for painted := 0.0; painted < total; {
		l := kinds[g.IntN(len(kinds))]
		l.long *= g.between(0.6, 1.2)
		shoot := shoots[g.IntN(len(shoots))]
		l.along = point{1, 0}.turned(g.angle())
		spread := float64(max(g.box.Dx(), g.box.Dy())) * 0.2
		l.foot = shoot.plus(point{g.NormFloat64(), g.NormFloat64()}.times(spread))
		l.colour = l.colour.times(float32(g.between(0.55, 1.25)))
		g.leaf(l)
		painted += l.long * l.long * l.wide * 1.3
	}
}

// edge is half the width of a leaf at a part of its length, as a share of its
// length.
func (l *leaf) edge(part float64) float64 {
	bow := part * (1 - part) * 4
	bow *= 1 + (1-l.belly)*(1-2*part)
	if l.teeth > 0 {
		saw := part * l.teeth
		bow *= 1 - 0.12*(saw-math.Floor(saw))
	}
	return l.wide * bow
}

// leaf draws a leaf and, before it, its shadow.
func (g *ground) leaf(l leaf) {
	way := g.sun.times(min(l.long*0.06, 4*g.grain))
	g.overLeaf(l, way, func(i int, part, aside, cover float64) {
		g.set(i, g.at(i).times(float32(1-0.5*cover)))
	})
	g.overLeaf(l, point{}, func(i int, part, aside, cover float64) {
		light := float32(1)
		if aside > 0 {
			light = l.fold
		}
		out := math.Abs(aside)
		// Side veins leave the middle one and bend to the tip.
		at := (part - out*1.1) * l.veins
		near := math.Abs(at - math.Round(at))
		switch {
		case out < 0.012+0.012*(1-part):
			light *= l.vein
		case near < 0.07:
			light *= 1 + (l.vein-1)*0.6
		default: // the blade rises between veins
			light *= 0.9 + 0.25*float32(near)
		}
		light *= 0.85 + 0.3*g.noise.at(part*9+l.foot.x, aside*9+l.foot.y)
		c := l.colour.times(light)
		if l.gloss > 0 {
			shine := l.gloss * g.noise.at(part*4+l.foot.y, out*6)
			c = c.plus(colour{shine * 0.25, shine * 0.28, shine * 0.3})
		}
		g.set(i, g.at(i).towards(c, float32(cover)))
	})
}

// overLeaf calls visit for each pixel of a leaf that is moved by way: its index,
// the part of the leaf's length from the foot, the distance from the middle
// line as a share of the length, and how much of the pixel is covered.
func (g *ground) overLeaf(l leaf, way point, visit func(i int, part, aside, cover float64)) {
	foot := l.foot.plus(way)
	tip := foot.plus(l.along.times(l.long))
	side := l.long * l.wide * 1.3
	left, right := int(max(0, min(foot.x, tip.x)-side)), int(min(float64(g.box.Dx()-1), max(foot.x, tip.x)+side))
	upper, lower := int(max(0, min(foot.y, tip.y)-side)), int(min(float64(g.box.Dy()-1), max(foot.y, tip.y)+side))
	dx, dy := l.along.x/l.long, l.along.y/l.long
	for y := upper; y <= lower; y++ {
		fy := float64(y) - foot.y
		for x := left; x <= right; x++ {
			fx := float64(x) - foot.x
			part := fx*dx + fy*dy
			if part <= 0 || part >= 1 {
				continue
			}
			aside := fy*dx - fx*dy
			bent := aside - 0.08*part*(1-part)
			if cover := (l.edge(part)-math.Abs(bent))*l.long + 0.5; cover > 0 {
				visit(y*g.box.Dx()+x, part, bent, min(cover, 1))
			}
		}
	}
}
