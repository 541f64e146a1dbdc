package photos

import (
	"image"
	"math"
)

// Empty photographs a scene without a code: foliage, gravel, soil and trays,
// mostly with labels on them that carry writing, or with things that look like
// a code from afar. Equal arguments give equal bytes.
func (s *Slips) Empty(megapixels float64, seed uint64) (Photo, error) {
	if err := checkSize(megapixels); err != nil {
		return Photo{}, err
	}
	d := newDice(NoCode, "", megapixels, seed)
	size := d.size(megapixels)
	scale := d.moduleSize(megapixels, false) / usualModule
	ground, grain := newGround(d, size, scale*millimetre)
	ground.covered()
	window := ground.planes
	if grain < 1 {
		window = ground.enlarged(grain, image.Rectangle{Max: size})
	}
	for range d.IntN(4) {
		picture, err := d.writing()
		if err != nil {
			return Photo{}, err
		}
		label := laid{
			sheet: newSheet(&s.tones, picture, prints{paper: d.between(190, 240), ink: d.between(15, 70)}),
			view: view{
				middle: point{float64(picture.Rect.Dx()) / 2, float64(picture.Rect.Dy()) / 2}, scale: scale,
				place:    point{d.Float64() * float64(size.X), d.Float64() * float64(size.Y)},
				distance: d.between(3, 8) * float64(picture.Rect.Dx()),
				turn:     turned(d.angle(), d.between(0, 25)*degree, d.angle()),
			},
			shadow: point{d.between(5, 40) * scale, 0}.turned(d.angle()), soft: d.between(4, 14) * scale,
		}
		label.lay(&s.tones, window)
	}
	lens{soft: d.between(0.5, 0.8)}.blur(window, 1)
	content, err := d.daylight().develop(&s.tones, size, window, 1, nil)
	return Photo{Kind: NoCode, Seed: seed, JPEG: content, Size: size}, err
}

// usualModule is the module of many slips, in their pixels.
const usualModule = 10

// daylight is how a camera is set in good light.
func (d dice) daylight() exposure {
	warm := d.between(-0.06, 0.06)
	return exposure{
		light:    colour{float32(1 + warm), 1, float32(1 - warm)},
		gradient: point{d.between(0.1, 0.3), 0}.turned(d.angle()),
		noise:    d.between(2, 4), quality: 85 + d.IntN(9), seed: d.Uint64(),
	}
}

// writing is a label without a code.
func (d dice) writing() (*image.Gray, error) {
	long := int(d.between(40, 110) * millimetre)
	p := &pen{dice: d, paper: image.NewGray(image.Rect(0, 0, long, int(d.between(15, 45)*millimetre)))}
	for i := range p.paper.Pix {
		p.paper.Pix[i] = 255
	}
	switch d.IntN(6) {
	case 0, 1:
		return p.paper, p.nameAndDate()
	case 2:
		return p.paper, p.dense()
	case 3:
		p.stripes()
	case 4:
		p.lattice()
	case 5:
		p.checks()
	}
	return p.paper, nil
}

// stripes are of one width or of several.
func (p *pen) stripes() {
	unit, equal := p.between(0.4, 4)*millimetre, p.chance(0.5)
	slant := p.between(-0.4, 0.4)
	var edges []float64
	width, height := float64(p.paper.Rect.Dx()), float64(p.paper.Rect.Dy())
	for at := -height; at < width+height; {
		edges = append(edges, at)
		if equal {
			at += unit
		} else {
			at += unit * p.between(0.4, 3)
		}
	}
	for y := range p.paper.Rect.Dy() {
		next := 0
		for x := range p.paper.Rect.Dx() {
			at := float64(x) + slant*float64(y)
			for next < len(edges) && edges[next] <= at {
				next++
			}
			if next%2 == 1 {
				p.paper.Pix[y*p.paper.Stride+x] = 0
			}
		}
	}
}

// lattice is a grid of lines.
func (p *pen) lattice() {
	side := p.between(1, 8) * millimetre
	line := side * p.between(0.08, 0.4)
	for y := range p.paper.Rect.Dy() {
		for x := range p.paper.Rect.Dx() {
			if math.Mod(float64(x), side) < line || math.Mod(float64(y), side) < line {
				p.paper.Pix[y*p.paper.Stride+x] = 0
			}
		}
	}
}

// checks are squares, dark and light by turns, or of two shades by chance as
// on cloth.
func (p *pen) checks() {
	side, chance := p.between(0.4, 5)*millimetre, p.chance(0.5)
	n := newNoise(p.dice)
	for y := range p.paper.Rect.Dy() {
		for x := range p.paper.Rect.Dx() {
			column, row := int(float64(x)/side), int(float64(y)/side)
			dark := (column+row)%2 == 0
			if chance {
				dark = n.cell(column, row) < 0.5
			}
			if dark {
				p.paper.Pix[y*p.paper.Stride+x] = 0
			}
		}
	}
}
