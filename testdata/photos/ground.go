package photos

import (
	"image"
	"math"
)

// ground is what lies and grows behind a label.
type ground struct {
	dice
	*planes
	noise *noise
	grain float64 // pixels of its planes to a millimetre
	sun   point   // direction in which shadows fall, of length 1
	wet   float32 // share of soil that glitters
	soil  [2]colour
	stone colour
	wide  float64 // of stones, mm
}

// A ground is drawn with about as many pixels, within these limits. Enlarging it
// makes it about as soft as a lens does.
const (
	groundPixels = 0.9e6
	coarsest     = 0.45 // pixels of it to one of the picture
)

// newGround is the ground for a picture on which grain pixels are a
// millimetre, and its pixels to one of the picture.
func newGround(d dice, size image.Point, grain float64) (*ground, float64) {
	scale := min(max(math.Sqrt(groundPixels/(float64(size.X)*float64(size.Y))), coarsest), 1)
	box := image.Rect(0, 0, int(math.Ceil(float64(size.X)*scale)), int(math.Ceil(float64(size.Y)*scale)))
	tone := d.between(0.8, 1.3)
	grey := d.between(90, 150)
	return &ground{
		dice: d, planes: newPlanes(box), noise: newNoise(d), grain: grain * scale, sun: point{1, 0}.turned(d.angle()),
		wet:   float32(d.between(0, 0.05)),
		soil:  [2]colour{shade(22*tone, 17*tone, 12*tone), shade(92*tone, 72*tone, 52*tone)},
		stone: shade(grey, grey*d.between(0.94, 1), grey*d.between(0.86, 1)),
		wide:  d.between(6, 16),
	}, scale
}

// covered draws a mixture by chance: soil, gravel or a tray, and leaves.
func (g *ground) covered() {
	under := g.soilAt
	switch g.IntN(4) {
	case 0:
		under = g.stoneAt
	case 1, 2:
		under = g.newTray().at
	}
	g.each(under)
	if g.chance(0.4) {
		g.perlite(g.between(0.005, 0.03))
	}
	g.leaves([]float64{0, 0.3, 0.8, 1.6}[g.IntN(4)])
}

// each sets each pixel by its place in millimetres.
func (g *ground) each(colourAt func(x, y float64) colour) {
	width := g.box.Dx()
	for y := range g.box.Dy() {
		for x := range width {
			g.set(y*width+x, colourAt((float64(x)+0.5)/g.grain, (float64(y)+0.5)/g.grain))
		}
	}
}

// soilAt is soil: crumbs, lighter and darker, with fibres between them, and a
// glitter where it is wet.
func (g *ground) soilAt(x, y float64) colour {
	const crumb = 2.2 // mm
	x += 0.9 * float64(g.noise.at(x*1.1, y*1.1))
	lump, gap := g.cells(x/crumb, y/crumb)
	fine := g.noise.at(x*4.7, y*4.7)
	fibre := g.noise.at(x*0.5+y*0.2, y*3.1+40) - 0.5
	damp := 0.35 + 0.9*g.noise.at(x/14, y/14)
	light := (0.15 + lump.own) * (0.5 + fine) * lump.lit * damp
	c := g.soil[0].towards(g.soil[1], max(0, light+0.35*fibre)*min(1, 0.15+3*gap))
	if glint := fine*0.7 + lump.own*0.3; glint > 1-3*g.wet {
		c = c.plus(colour{0.3, 0.32, 0.35})
	}
	return c
}

// lump is a stone or crumb as it is seen at one place.
type lump struct {
	own  float32 // its own chance, 0 to 1
	tint float32 // another
	lit  float32 // light on it there, about 1
}

// cells divides a plane into lumps around the points of an uneven grid with a
// side of 1, and returns the one at a place and how far its border is, less
// than 1.
func (g *ground) cells(x, y float64) (l lump, gap float32) {
	column, row := int(math.Floor(x)), int(math.Floor(y))
	fx, fy := float32(x-float64(column)), float32(y-float64(row))
	nearest, second := float32(9), float32(9)
	var atX, atY float32
	var which int
	for i := range 9 {
		cx, cy := i%3-1, i/3-1
		dx := fx - float32(cx) - 0.1 - 0.8*g.noise.cell(column+cx, row+cy)
		dy := fy - float32(cy) - 0.1 - 0.8*g.noise.cell(column+cx+77, row+cy+31)
		switch far := dx*dx + dy*dy; {
		case far < nearest:
			nearest, second, atX, atY, which = far, nearest, dx, dy, i
		case far < second:
			second = far
		}
	}
	column, row = column+which%3-1, row+which/3-1
	l = lump{
		own: g.noise.cell(column+13, row+200), tint: g.noise.cell(column+101, row+7),
		lit: 1 - 0.7*(atX*float32(g.sun.x)+atY*float32(g.sun.y)),
	}
	return l, float32(math.Sqrt(float64(second)) - math.Sqrt(float64(nearest)))
}

// stoneAt is gravel: stones of several greys, dark between them.
func (g *ground) stoneAt(x, y float64) colour {
	speck := 0.6 + 0.5*g.noise.at(x*3.3, y*3.3) + 0.3*g.noise.at(x*0.8, y*0.8+30)
	x, y = x/g.wide, y/g.wide
	x += 0.35 * float64(g.noise.at(x*2.3, y*2.3+90)-0.5)
	y += 0.35 * float64(g.noise.at(x*2.3+60, y*2.3)-0.5)
	stone, gap := g.cells(x, y)
	c := g.stone.times((0.35 + 1.2*stone.own) * speck * stone.lit)
	c[0], c[2] = c[0]*(1.06-0.12*stone.tint), c[2]*(0.9+0.2*stone.tint)
	return c.times(min(1, 0.06+gap*gap*25))
}

// perlite strews light grains over a share of the ground.
func (g *ground) perlite(share float64) {
	total := share * float64(g.box.Dx()*g.box.Dy())
	for painted := 0.0; painted < total; {
		radius := g.between(0.6, 2.2) * g.grain
		painted += math.Pi * radius * radius
		white := g.between(165, 235)
		g.pebble(point{g.Float64() * float64(g.box.Dx()), g.Float64() * float64(g.box.Dy())}, radius, shade(white, white*0.99, white*0.96))
	}
}

// pebble draws a rounded stone with edges, and its shadow.
func (g *ground) pebble(middle point, radius float64, c colour) {
	edges := make([]point, 6+g.IntN(3))
	for i := range edges {
		edges[i] = point{1 / g.between(0.75, 1), 0}.turned(float64(i)*2*math.Pi/float64(len(edges)) + g.between(-0.3, 0.3))
	}
	reach := int(radius*1.6) + 2
	for y := int(middle.y) - reach; y <= int(middle.y)+reach; y++ {
		for x := int(middle.x) - reach; x <= int(middle.x)+reach; x++ {
			if x < 0 || y < 0 || x >= g.box.Dx() || y >= g.box.Dy() {
				continue
			}
			away := point{float64(x) - middle.x, float64(y) - middle.y}.times(1 / radius)
			far, shaded := 0.0, 0.0
			for _, e := range edges {
				far = max(far, e.dot(away))
				shaded = max(shaded, e.dot(away.minus(g.sun.times(0.4))))
			}
			i := y*g.box.Dx() + x
			if dark := min(max((1-shaded)*radius*0.5, 0), 1); dark > 0 {
				g.set(i, g.at(i).times(float32(1-0.55*dark)))
			}
			if cover := min(max((1-far)*radius+0.5, 0), 1); cover > 0 {
				lit := float32(0.8 - 0.35*away.dot(g.sun))
				g.set(i, g.at(i).towards(c.times(lit), float32(cover)))
			}
		}
	}
}
