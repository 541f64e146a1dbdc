package photos

import "math"

// tear is where a corner of a label is torn off: what lies beyond a ragged
// line is gone. Lengths are pixels of the slip.
type tear struct {
	from   point // from which distances are measured
	out    point // direction to the corner, of length 1
	offset float64
	ragged float64 // how far the line wanders
	noise  *noise
}

// beyond is how far a point lies beyond the line; negative on what is left.
func (t *tear) beyond(p point) float64 {
	way := p.minus(t.from)
	along := way.y*t.out.x - way.x*t.out.y
	wander := float64(t.noise.rough(along/(3*t.ragged), 0.5)) - 0.5
	return way.dot(t.out) - t.offset + 2*t.ragged*wander
}

// share is the share of the symbol's area that is gone.
func (t *tear) share(f frame) float64 {
	const steps = 100
	gone := 0
	for i := range steps {
		for j := range steps {
			if t.beyond(f.at((float64(i)+0.5)/steps, (float64(j)+0.5)/steps)) > 0 {
				gone++
			}
		}
	}
	return float64(gone) / (steps * steps)
}

// newTear tears off that corner of the symbol which is nearest to a corner of
// the label, with a share of the symbol's area.
func newTear(d dice, cut slip, share float64) *tear {
	width, height := float64(cut.picture.Rect.Dx()), float64(cut.picture.Rect.Dy())
	nearest := math.Inf(1)
	t := &tear{from: cut.symbol.at(0.5, 0.5), ragged: cut.module * d.between(0.3, 1.2), noise: newNoise(d)}
	for _, c := range cut.symbol.corners() {
		for _, edge := range [4]point{{0, 0}, {width, 0}, {0, height}, {width, height}} {
			if far := c.minus(edge).length(); far < nearest {
				nearest = far
				out := c.minus(t.from)
				t.out = point{math.Copysign(math.Sqrt2/2, out.x), math.Copysign(math.Sqrt2/2, out.y)}
			}
		}
	}
	t.out = t.out.turned(d.between(-15, 15) * degree)
	low, high := 0.0, width+height
	for range 30 {
		if t.offset = (low + high) / 2; t.share(cut.symbol) > share {
			low = t.offset
		} else {
			high = t.offset
		}
	}
	return t
}

// rip takes off the sheet what is torn off. The edge shows the white inside of
// the paper.
func (t *tear) rip(s *sheet) {
	const fibres = 7 // pixels
	for y := range s.height {
		for x := range s.width {
			p := point{float64(x) + 0.5, float64(y) + 0.5}
			switch far := t.beyond(p); {
			case far > 0.5:
				s.pix[4*(y*s.width+x)+3] = 0
			case far > -0.5:
				s.pix[4*(y*s.width+x)+3] = byte(255 * (0.5 - far))
			}
			if far := t.beyond(p) + fibres*float64(t.noise.at(p.x/5, p.y/5)); far > 0 {
				n := 205 + 40*float64(t.noise.at(p.x/2, p.y/2))
				s.mark(x, y, n, n, n, 0.9)
			}
		}
	}
}
