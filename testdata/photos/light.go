package photos

import "math"

// edge is the edge of a shadow on the scene. Lengths are pixels of the
// picture.
type edge struct {
	at   point
	out  point   // direction into the shadow, of length 1
	soft float64 // how wide the edge is
	left float64 // light in the shadow, of the light beside it
}

// light is the light at a place.
func (e *edge) light(p point) float32 {
	part := p.minus(e.at).dot(e.out)/max(e.soft, 0.5) + 0.5
	part = min(max(part, 0), 1)
	return float32(1 - (1-e.left)*part*part*(3-2*part))
}

// shade puts the shadow on a part of the picture that is drawn at a scale.
func (e *edge) shade(p *planes, scale float64) {
	i := 0
	for y := p.box.Min.Y; y < p.box.Max.Y; y++ {
		for x := p.box.Min.X; x < p.box.Max.X; x++ {
			light := e.light(point{(float64(x) + 0.5) / scale, (float64(y) + 0.5) / scale})
			for c := range p.pix {
				p.pix[c][i] *= light
			}
			i++
		}
	}
}

// newEdge is a shadow whose edge runs across the symbol.
func (t *shot) newEdge() *edge {
	at, _ := t.view.picture(t.cut.symbol.at(t.between(0.2, 0.8), t.between(0.2, 0.8)))
	return &edge{at: at, out: point{1, 0}.turned(t.angle()), soft: t.between(0, 2) * t.module, left: t.within(t.harm.shadow)}
}

// gleam is a reflection of the sun or a lamp, an ellipse or a streak. Lengths
// are pixels of the picture.
type gleam struct {
	middle point
	along  point // direction of its longer axis, of length 1
	long   float64
	wide   float64
	soft   float64 // how far its edge goes, as a share of its size
	strong float64 // light in its middle, 1 at its edge
}

// far is the distance from the middle, 1 where the gleam saturates no more.
func (g *gleam) far(p point) float64 {
	way := p.minus(g.middle)
	return math.Hypot(way.dot(g.along)/g.long, way.dot(point{-g.along.y, g.along.x})/g.wide)
}

// light is what the gleam adds at a place.
func (g *gleam) light(p point) float32 {
	far := g.far(p)
	if far < 1 {
		return float32(g.strong - (g.strong-1)*far*far)
	}
	out := (far - 1) / g.soft
	if out > 3 {
		return 0
	}
	return float32(math.Exp(-out * out))
}

// gleams are what reflects on a label.
type gleams []gleam

// light is what they add at a place.
func (g gleams) light(p point) (sum float32) {
	for i := range g {
		sum += g[i].light(p)
	}
	return sum
}

// shine adds them to a window, where it shows the label.
func (g gleams) shine(w *planes, cover coverage) {
	width := cover.box.Dx()
	for i, c := range cover.pix {
		if c > 0 {
			x, y := cover.box.Min.X+i%width, cover.box.Min.Y+i/width
			light := c * g.light(point{float64(x) + 0.5, float64(y) + 0.5})
			at := w.offset(x, y)
			w.set(at, w.at(at).plus(colour{light, light, light}))
		}
	}
}

// share is the share of the symbol's area that they saturate.
func (g gleams) share(v *view, f frame, steps int) float64 {
	lit := 0
	for i := range steps * steps {
		p, _ := v.picture(f.at((float64(i%steps)+0.5)/float64(steps), (float64(i/steps)+0.5)/float64(steps)))
		for _, one := range g {
			if one.far(p) < 1 {
				lit++
				break
			}
		}
	}
	return float64(lit) / float64(steps*steps)
}

// newGleams are one or two ellipses or streaks of a size at which they
// saturate a share of the symbol's area.
func (t *shot) newGleams() gleams {
	g := make(gleams, 1+t.IntN(2))
	for i := range g {
		middle, _ := t.view.picture(t.cut.symbol.at(t.between(0.1, 0.9), t.between(0.1, 0.9)))
		slim := t.between(1, 2)
		if t.chance(0.4) {
			slim = t.between(4, 10)
		}
		size := t.between(0.6, 1)
		g[i] = gleam{
			middle: middle, along: point{1, 0}.turned(t.angle()), long: size * math.Sqrt(slim), wide: size / math.Sqrt(slim),
			soft: t.between(0.1, 0.5), strong: t.between(1.2, 3),
		}
	}
	wanted := t.within(t.harm.glare)
	low, high := 0.0, 4*math.Hypot(float64(t.size.X), float64(t.size.Y))
	shaped := append(gleams(nil), g...)
	for range 40 {
		size := (low + high) / 2
		for i := range g {
			g[i].long, g[i].wide = shaped[i].long*size, shaped[i].wide*size
		}
		if g.share(&t.view, t.cut.symbol, 80) > wanted {
			high = size
		} else {
			low = size
		}
	}
	return g
}
