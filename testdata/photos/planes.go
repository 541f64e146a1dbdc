package photos

import (
	"image"
	"math"
)

// planes are the light on a part of a picture, one plane for each colour.
type planes struct {
	box image.Rectangle
	pix [3][]float32
}

func newPlanes(box image.Rectangle) *planes {
	p := &planes{box: box}
	for c := range p.pix {
		p.pix[c] = make([]float32, box.Dx()*box.Dy())
	}
	return p
}

func (p *planes) offset(x, y int) int { return (y-p.box.Min.Y)*p.box.Dx() + x - p.box.Min.X }

func (p *planes) at(i int) colour { return colour{p.pix[0][i], p.pix[1][i], p.pix[2][i]} }

func (p *planes) set(i int, c colour) { p.pix[0][i], p.pix[1][i], p.pix[2][i] = c[0], c[1], c[2] }

// row writes one row of a picture that is enlarged from p into into, from
// column from on; scale is pixels of p to a pixel of the picture.
func (p *planes) row(c int, scale float64, y, from int, into []float32) {
	width, height := p.box.Dx(), p.box.Dy()
	at := (float64(y)+0.5)*scale - 0.5
	upper := math.Floor(at)
	part := float32(at - upper)
	first := min(max(int(upper), 0), height-1)
	second := min(max(int(upper)+1, 0), height-1)
	one, two := p.pix[c][first*width:][:width], p.pix[c][second*width:][:width]
	if scale == 1 {
		copy(into, one[from:])
		return
	}
	for i := range into {
		x := (float64(from+i)+0.5)*scale - 0.5
		left := int(x+1) - 1
		share := float32(x - float64(left))
		l, r := max(left, 0), min(left+1, width-1)
		a := one[l] + (two[l]-one[l])*part
		b := one[r] + (two[r]-one[r])*part
		into[i] = a + (b-a)*share
	}
}

// enlarged is a part of a picture, of which p is the whole at a scale.
func (p *planes) enlarged(scale float64, box image.Rectangle) *planes {
	e := newPlanes(box)
	for c := range e.pix {
		for y := box.Min.Y; y < box.Max.Y; y++ {
			p.row(c, scale, y, box.Min.X, e.pix[c][(y-box.Min.Y)*box.Dx():][:box.Dx()])
		}
	}
	return e
}
