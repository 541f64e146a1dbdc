package photos

import (
	"image"
	"math"
)

// marks are what lies on a sheet. Lengths are pixels of the slip.
type marks struct {
	dice
	sheet  *sheet
	slip   slip
	noise  *noise
	symbol image.Rectangle
	marked []bool // pixels of the sheet
	inside int    // how many of them lie within the symbol
	keep   func(x, y int) bool
}

func newMarks(d dice, s *sheet, cut slip) *marks {
	return &marks{
		dice: d, sheet: s, slip: cut, noise: newNoise(d), symbol: cut.box(), marked: make([]bool, s.width*s.height),
		keep: func(x, y int) bool { return true },
	}
}

// box is the part of the slip's picture that the symbol takes.
func (s slip) box() image.Rectangle {
	low, high := s.symbol.at(0, 0), s.symbol.at(1, 1)
	return image.Rect(int(math.Round(low.x)), int(math.Round(low.y)), int(math.Round(high.x)), int(math.Round(high.y)))
}

// put covers a pixel by brown matter; covers below a fifth do not count as a
// mark.
func (m *marks) put(x, y int, brown [3]float64, cover float64) {
	if cover <= 0 || x < 0 || y < 0 || x >= m.sheet.width || y >= m.sheet.height || !m.keep(x, y) {
		return
	}
	m.sheet.mark(x, y, brown[0], brown[1], brown[2], min(cover, 1))
	if i := y*m.sheet.width + x; cover >= 0.2 && !m.marked[i] {
		m.marked[i] = true
		if image.Pt(x, y).In(m.symbol) {
			m.inside++
		}
	}
}

// brown is a colour of soil.
func (m *marks) brown() [3]float64 {
	tone := m.between(25, 75)
	return [3]float64{tone, tone * m.between(0.7, 0.85), tone * m.between(0.45, 0.65)}
}

// lump is a grain with an uneven outline, lit from above.
func (m *marks) lump(middle point, radius float64, brown [3]float64, cover float64) {
	var waves [3][2]float64
	for i := range waves {
		waves[i] = [2]float64{m.between(0, 0.3/float64(i+1)), m.angle()}
	}
	reach := int(radius*1.6) + 1
	for y := int(middle.y) - reach; y <= int(middle.y)+reach; y++ {
		for x := int(middle.x) - reach; x <= int(middle.x)+reach; x++ {
			way := point{float64(x) + 0.5 - middle.x, float64(y) + 0.5 - middle.y}
			angle, edge := math.Atan2(way.y, way.x), 1.0
			for i, w := range waves {
				edge += w[0] * math.Cos(float64(i+2)*angle+w[1])
			}
			inner := edge*radius - way.length()
			lit := 0.7 + 0.6*float64(m.noise.at(float64(x)/3, float64(y)/3)) - 0.25*(way.x+way.y)/(radius+1)
			m.put(x, y, [3]float64{brown[0] * lit, brown[1] * lit, brown[2] * lit}, cover*min(1, inner/2+0.5))
		}
	}
}

// smear is matter that was wiped along a way: in streaks.
func (m *marks) smear(middle, way point, wide float64, brown [3]float64, cover float64) {
	long := way.length()
	reach := int(long/2+wide) + 1
	for y := int(middle.y) - reach; y <= int(middle.y)+reach; y++ {
		for x := int(middle.x) - reach; x <= int(middle.x)+reach; x++ {
			at := point{float64(x) - middle.x, float64(y) - middle.y}
			u, v := at.dot(way)/long, (at.y*way.x-at.x*way.y)/long
			far := 4*u*u/(long*long) + 4*v*v/(wide*wide)
			if far < 1 {
				streak := float64(m.noise.rough(u/14, v/1.5))
				m.put(x, y, brown, cover*(0.5+streak)*min(1, 2*(1-far)))
			}
		}
	}
}

// fingerprint is a part of one: ridges half a millimetre apart.
func (m *marks) fingerprint(middle point, radius float64, brown [3]float64, cover float64) {
	const ridge = 0.48 * drawnDPI / 25.4
	core := middle.plus(point{m.between(0, 2), 0}.turned(m.angle()).times(radius))
	reach := int(radius*1.3) + 1
	for y := int(middle.y) - reach; y <= int(middle.y)+reach; y++ {
		for x := int(middle.x) - reach; x <= int(middle.x)+reach; x++ {
			at := point{float64(x), float64(y)}
			if far := at.minus(middle); far.x*far.x+far.y*far.y/1.6 > radius*radius {
				continue
			}
			ring := at.minus(core).length()/ridge + 1.5*float64(m.noise.at(at.x/40, at.y/40))
			if ring-math.Floor(ring) < 0.5 {
				pressed := float64(m.noise.rough(at.x/12, at.y/12)) // ridges are broken where the finger lay lightly
				m.put(x, y, brown, cover*max(0, 2.2*pressed-0.5))
			}
		}
	}
}

// dirt puts specks, smears and fingerprints on the label until a share of the
// symbol's area is covered.
func (m *marks) dirt(share float64) {
	area := float64(m.symbol.Dx() * m.symbol.Dy())
	for {
		left := share*area - float64(m.inside)
		if left < 0.004*area {
			break
		}
		middle := m.slip.symbol.at(m.Float64(), m.Float64())
		m.spot(middle, 0.7*left)
	}
	// The rest of the label is as dirty, as far as the eye can tell.
	inside := m.inside
	m.keep = func(x, y int) bool { return !image.Pt(x, y).In(m.symbol) }
	for range 12 + m.IntN(20) {
		m.spot(point{m.Float64() * float64(m.sheet.width), m.Float64() * float64(m.sheet.height)}, 0.02*area)
	}
	m.keep = func(x, y int) bool { return true }
	m.inside = inside
}

// spot is one mark that covers no more than an area.
func (m *marks) spot(middle point, area float64) {
	module, brown := m.slip.module, m.brown()
	switch m.IntN(6) {
	case 0: // narrowed where it would cover too much
		long, wide := module*m.between(3, 10), module*m.between(0.6, 2)
		less := min(1, math.Sqrt(area/(0.785*long*wide)))
		m.smear(middle, point{long * less, 0}.turned(m.angle()), wide*less, brown, m.between(0.35, 0.75))
	case 1:
		m.fingerprint(middle, min(module*m.between(3, 8), math.Sqrt(area/2)), brown, m.between(0.35, 0.6))
	default:
		m.lump(middle, min(module*m.between(0.15, 0.9), math.Sqrt(area/4)), brown, m.between(0.6, 1))
	}
}

// soil splashes grains around the symbol until they cover a share of the
// length of its quiet zone. They touch the symbol and reach half a module into
// it at the most.
func (m *marks) soil(share float64) {
	module := m.slip.module
	within := m.symbol.Inset(int(module / 2))
	m.keep = func(x, y int) bool { return !image.Pt(x, y).In(within) }
	sides := m.slip.quietSides()
	for m.covered(sides) < share {
		side := sides[m.IntN(len(sides))]
		radius := module * m.between(0.35, 1.5)
		middle := side.at(m.Float64(), 0).plus(side.down.times(radius * m.between(0.2, 0.9)))
		m.lump(middle, radius, m.brown(), m.between(0.85, 1))
	}
	for range 20 + m.IntN(40) {
		side := sides[m.IntN(len(sides))]
		m.lump(side.at(m.between(-0.2, 1.2), 0).plus(side.down.times(module*m.between(1, 8))), module*m.between(0.1, 0.6), m.brown(), m.between(0.7, 1))
	}
	m.keep = func(x, y int) bool { return true }
}

// quietSides are the sides of the symbol that have a quiet zone, each as the
// way along it and, of length 1, the way outwards.
func (s slip) quietSides() []frame {
	f := s.symbol
	right, below := f.across.times(1/f.across.length()), f.down.times(1/f.down.length())
	sides := []frame{{f.corner, f.down, right.times(-1)}, {f.at(1, 0), f.down, right}}
	if _, quiet := s.modules.Quiet(); quiet > 0 {
		sides = append(sides, frame{f.corner, f.across, below.times(-1)}, frame{f.at(0, 1), f.across, below})
	}
	return sides
}

// covered is the share of the sides' length with a mark close to the symbol.
func (m *marks) covered(sides []frame) float64 {
	const steps = 60
	marked := 0
	for _, side := range sides {
		for i := range steps {
			for _, out := range [2]float64{0.3, 0.8} {
				p := side.at((float64(i)+0.5)/steps, 0).plus(side.down.times(out * m.slip.module))
				x, y := int(p.x), int(p.y)
				if x >= 0 && y >= 0 && x < m.sheet.width && y < m.sheet.height && m.marked[y*m.sheet.width+x] {
					marked++
					break
				}
			}
		}
	}
	return float64(marked) / float64(steps*len(sides))
}

// specks are a few light marks anywhere on the label.
func (m *marks) specks(count int) {
	for range count {
		middle := point{m.Float64() * float64(m.sheet.width), m.Float64() * float64(m.sheet.height)}
		m.lump(middle, m.slip.module*m.between(0.1, 0.5), m.brown(), m.between(0.3, 0.8))
	}
}
