package photos

import "math"

// plastic is a tray of black plastic: cells with walls between them, soil in
// them and gravel around it.
type plastic struct {
	ground       *ground
	middle       point // mm
	along        point // direction of its rows, of length 1
	pitch        point // mm from cell to cell
	wall         float64
	black, shine colour
	half         point // of the whole tray, mm
}

// newTray is a tray by chance, of which a part is seen.
func (g *ground) newTray() *plastic {
	pitch, black, shine := g.between(34, 64), g.between(20, 34), g.between(80, 140)
	picture := point{float64(g.box.Dx()), float64(g.box.Dy())}.times(1 / g.grain)
	return &plastic{
		ground: g, middle: point{picture.x * g.Float64(), picture.y * g.Float64()}, along: point{1, 0}.turned(g.angle()),
		pitch: point{pitch, pitch * g.between(0.9, 1.1)}, wall: g.between(2.5, 5),
		black: shade(black, black, black*1.05), shine: shade(shine, shine, shine*1.05),
		half: point{pitch * float64(2+g.IntN(5)), pitch * float64(2+g.IntN(4))},
	}
}

// at is the tray at a place in millimetres.
func (p *plastic) at(x, y float64) colour {
	way := point{x, y}.minus(p.middle)
	u, v := way.dot(p.along), way.dot(point{-p.along.y, p.along.x})
	// Outside: the outer rim, then its shadow on the gravel.
	if beyond := max(math.Abs(u)-p.half.x, math.Abs(v)-p.half.y); beyond > 0 {
		rim := 2 * p.wall
		if beyond < rim {
			return p.rim(beyond/rim, x, y)
		}
		dark := min(1, 0.35+(beyond-rim)/12)
		return p.ground.stoneAt(x, y).times(float32(dark))
	}
	wallU, wallV := p.toWall(u+p.half.x, p.pitch.x), p.toWall(v+p.half.y, p.pitch.y)
	to := min(wallU, wallV) // from the middle of the nearest wall
	if to < p.wall/2 {
		return p.rim(0.5+to/p.wall, x, y)
	}
	// The sides of a cell go down, away from the light.
	deep := (to - p.wall/2) / (0.8 * p.wall)
	if deep < 1 {
		return p.black.times(float32(1.1 - 0.8*deep)).plus(p.shine.times(0.03 * p.ground.noise.at(x/4, y/4)))
	}
	return p.ground.soilAt(x, y).times(float32(min(1, 0.45+0.25*(deep-1))))
}

func (p *plastic) toWall(x, pitch float64) float64 {
	return math.Abs(x - pitch*math.Round(x/pitch))
}

// rim is the top of a wall, where part is 0 at one edge and 1 at the other: a
// line of light runs along it.
func (p *plastic) rim(part, x, y float64) colour {
	line := math.Exp(-(part - 0.7) * (part - 0.7) / 0.008)
	dust := p.ground.noise.rough(x/2, y/2)
	return p.black.times(1 + dust).plus(p.shine.times(float32(line) * (0.25 + 0.6*p.ground.noise.at(x/25, y/25))))
}
