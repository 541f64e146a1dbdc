package scan

import (
	"image"
	"image/color"
	"math"
)

// grey is a picture of 8-bit luminance: 0 black, 255 white. Positions in it
// are those of its pixels' corners, so that pixel (0, 0) has its centre at
// (0.5, 0.5) and a position halves exactly from one level to the next.
type grey struct {
	pix           []byte
	stride        int
	width, height int
}

// point is a position or a vector in a grey picture, in pixels.
type point struct{ x, y float64 }

func (p point) add(q point) point        { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point        { return point{p.x - q.x, p.y - q.y} }
func (p point) mul(f float64) point      { return point{p.x * f, p.y * f} }
func (p point) length() float64          { return math.Hypot(p.x, p.y) }
func (p point) cross(q point) float64    { return p.x*q.y - p.y*q.x }
func (p point) dot(q point) float64      { return p.x*q.x + p.y*q.y }
func (p point) distance(q point) float64 { return p.sub(q).length() }

// newGrey takes the luminance of a picture, on white where it is transparent.
// A picture that holds its luminance apart (grey ones, and JPEG's own Y) is
// not copied.
func newGrey(picture image.Image) *grey {
	box := picture.Bounds()
	g := &grey{width: box.Dx(), height: box.Dy()}
	if g.width <= 0 || g.height <= 0 {
		return &grey{}
	}
	switch p := picture.(type) {
	case *image.Gray:
		g.pix, g.stride = p.Pix[p.PixOffset(box.Min.X, box.Min.Y):], p.Stride
		return g
	case *image.YCbCr:
		g.pix, g.stride = p.Y[p.YOffset(box.Min.X, box.Min.Y):], p.YStride
		return g
	}
	g.stride = g.width
	g.pix = make([]byte, g.width*g.height)
	for y := range g.height {
		row := g.pix[y*g.width:][:g.width]
		switch p := picture.(type) {
		case *image.RGBA:
			line := p.Pix[p.PixOffset(box.Min.X, box.Min.Y+y):]
			for x := range row {
				c := line[4*x:][:4]
				row[x] = luma(uint32(c[0]), uint32(c[1]), uint32(c[2])) + 255 - c[3]
			}
		case *image.NRGBA:
			line := p.Pix[p.PixOffset(box.Min.X, box.Min.Y+y):]
			for x := range row {
				c := line[4*x:][:4]
				lum, alpha := uint32(luma(uint32(c[0]), uint32(c[1]), uint32(c[2]))), uint32(c[3])
				row[x] = byte((lum*alpha + 255*(255-alpha) + 127) / 255)
			}
		case *image.Paletted:
			line := p.Pix[p.PixOffset(box.Min.X, box.Min.Y+y):]
			shades := paletteShades(p.Palette)
			for x := range row {
				row[x] = shades[line[x]]
			}
		default:
			for x := range row {
				row[x] = shadeOf(picture.At(box.Min.X+x, box.Min.Y+y))
			}
		}
	}
	return g
}

// luma weighs red, green and blue as JPEG does (ITU-R BT.601).
func luma(r, g, b uint32) byte { return byte((19595*r + 38470*g + 7471*b + 1<<15) >> 16) }

func shadeOf(c color.Color) byte {
	r, g, b, a := c.RGBA()
	return luma(r>>8, g>>8, b>>8) + byte(255-a>>8)
}

func paletteShades(palette color.Palette) [256]byte {
	var shades [256]byte
	for i, c := range palette[:min(len(palette), 256)] {
		shades[i] = shadeOf(c)
	}
	return shades
}

// half is the picture at half the size, each pixel the mean of four.
func (g *grey) half() *grey {
	h := &grey{width: g.width / 2, height: g.height / 2}
	h.stride = h.width
	h.pix = make([]byte, h.width*h.height)
	for y := range h.height {
		upper := g.pix[2*y*g.stride:][:2*h.width]
		lower := g.pix[(2*y+1)*g.stride:][:2*h.width]
		row := h.pix[y*h.width:][:h.width]
		for x := range row {
			row[x] = byte((uint(upper[2*x]) + uint(upper[2*x+1]) + uint(lower[2*x]) + uint(lower[2*x+1]) + 2) / 4)
		}
	}
	return h
}

// twice is the picture at twice the size, smoothly.
func (g *grey) twice() *grey {
	t := &grey{width: 2 * g.width, height: 2 * g.height, stride: 2 * g.width}
	t.pix = make([]byte, t.width*t.height)
	for y := range t.height {
		row := t.pix[y*t.stride:][:t.width]
		for x := range row {
			row[x] = byte(g.at(point{(float64(x) + 0.5) / 2, (float64(y) + 0.5) / 2}) + 0.5)
		}
	}
	return t
}

// inside reports whether a position lies in the picture.
func (g *grey) inside(p point) bool {
	return p.x >= 0 && p.y >= 0 && p.x < float64(g.width) && p.y < float64(g.height)
}

// at is the luminance at a position, interpolated between the four nearest
// pixels; outside the picture that of its edge.
func (g *grey) at(p point) float64 {
	if p.x >= 0.5 && p.y >= 0.5 && p.x < float64(g.width)-0.5 && p.y < float64(g.height)-0.5 {
		x, y := p.x-0.5, p.y-0.5
		left, top := int(x), int(y)
		if left+1 < g.width && top+1 < g.height {
			fx, fy := x-float64(left), y-float64(top)
			upper := g.pix[top*g.stride+left:][:2]
			lower := g.pix[(top+1)*g.stride+left:][:2]
			a, c := float64(upper[0]), float64(lower[0])
			a += (float64(upper[1]) - a) * fx
			c += (float64(lower[1]) - c) * fx
			return a + (c-a)*fy
		}
	}
	return g.edge(p)
}

// edge is at for a position that may be at the edge of the picture or outside.
func (g *grey) edge(p point) float64 {
	x := min(max(p.x-0.5, 0), float64(g.width-1))
	y := min(max(p.y-0.5, 0), float64(g.height-1))
	left, top := int(x), int(y)
	fx, fy := x-float64(left), y-float64(top)
	right, below := 1, g.stride
	if left == g.width-1 {
		right = 0
	}
	if top == g.height-1 {
		below = 0
	}
	i := top*g.stride + left
	a, b := float64(g.pix[i]), float64(g.pix[i+right])
	c, d := float64(g.pix[i+below]), float64(g.pix[i+below+right])
	a += (b - a) * fx
	c += (d - c) * fx
	return a + (c-a)*fy
}
