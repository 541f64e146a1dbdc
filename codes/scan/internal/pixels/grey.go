// Package pixels is what is measured on a picture without knowing of symbols:
// luminance on several levels of size, what is light and dark around a place,
// and connected components.
package pixels

import (
	"image"
	"image/color"
	"math"
)

// Point is a position or a vector in a grey picture, in pixels.
type Point struct{ X, Y float64 }

// Grey is a picture of 8-bit luminance: 0 black, 255 white. Positions in it
// are those of its pixels' corners, so that pixel (0, 0) has its centre at
// (0.5, 0.5) and a position halves exactly from one level to the next.
type Grey struct {
	Pix           []byte
	Stride        int
	Width, Height int
}

func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

func (p Point) Mul(f float64) Point { return Point{p.X * f, p.Y * f} }

func (p Point) Length() float64 { return math.Hypot(p.X, p.Y) }

func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

func (p Point) Distance(q Point) float64 { return p.Sub(q).Length() }

// NewGrey takes the luminance of a picture, on white where it is transparent.
// A picture that holds its luminance apart (grey ones, and JPEG's own Y) is
// not copied.
func NewGrey(picture image.Image) *Grey {
	box := picture.Bounds()
	g := &Grey{Width: box.Dx(), Height: box.Dy()}
	if g.Width <= 0 || g.Height <= 0 {
		return &Grey{}
	}
	switch p := picture.(type) {
	case *image.Gray:
		g.Pix, g.Stride = p.Pix[p.PixOffset(box.Min.X, box.Min.Y):], p.Stride
		return g
	case *image.YCbCr:
		g.Pix, g.Stride = p.Y[p.YOffset(box.Min.X, box.Min.Y):], p.YStride
		return g
	}
	g.Stride = g.Width
	g.Pix = make([]byte, g.Width*g.Height)
	for y := range g.Height {
		row := g.Pix[y*g.Width:][:g.Width]
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

// Image is the picture for others. It shares the pixels.
func (g *Grey) Image() *image.Gray {
	return &image.Gray{Pix: g.Pix, Stride: g.Stride, Rect: image.Rect(0, 0, g.Width, g.Height)}
}

// half is the picture at half the size, each pixel the mean of four.
func (g *Grey) half() *Grey {
	h := &Grey{Width: g.Width / 2, Height: g.Height / 2}
	h.Stride = h.Width
	h.Pix = make([]byte, h.Width*h.Height)
	for y := range h.Height {
		upper := g.Pix[2*y*g.Stride:][:2*h.Width]
		lower := g.Pix[(2*y+1)*g.Stride:][:2*h.Width]
		row := h.Pix[y*h.Width:][:h.Width]
		for x := range row {
			row[x] = byte((uint(upper[2*x]) + uint(upper[2*x+1]) + uint(lower[2*x]) + uint(lower[2*x+1]) + 2) / 4)
		}
	}
	return h
}

// Twice is the picture at twice the size, smoothly.
func (g *Grey) Twice() *Grey {
	t := &Grey{Width: 2 * g.Width, Height: 2 * g.Height, Stride: 2 * g.Width}
	t.Pix = make([]byte, t.Width*t.Height)
	for y := range t.Height {
		row := t.Pix[y*t.Stride:][:t.Width]
		for x := range row {
			row[x] = byte(g.At(Point{(float64(x) + 0.5) / 2, (float64(y) + 0.5) / 2}) + 0.5)
		}
	}
	return t
}

// Inside reports whether a position lies in the picture.
func (g *Grey) Inside(p Point) bool {
	return p.X >= 0 && p.Y >= 0 && p.X < float64(g.Width) && p.Y < float64(g.Height)
}

// At is the luminance at a position, interpolated between the four nearest
// pixels; outside the picture that of its edge.
func (g *Grey) At(p Point) float64 {
	if p.X >= 0.5 && p.Y >= 0.5 && p.X < float64(g.Width)-0.5 && p.Y < float64(g.Height)-0.5 {
		x, y := p.X-0.5, p.Y-0.5
		left, top := int(x), int(y)
		if left+1 < g.Width && top+1 < g.Height {
			fx, fy := x-float64(left), y-float64(top)
			upper := g.Pix[top*g.Stride+left:][:2]
			lower := g.Pix[(top+1)*g.Stride+left:][:2]
			a, c := float64(upper[0]), float64(lower[0])
			a += (float64(upper[1]) - a) * fx
			c += (float64(lower[1]) - c) * fx
			return a + (c-a)*fy
		}
	}
	return g.edge(p)
}

// edge is at for a position that may be at the edge of the picture or outside.
func (g *Grey) edge(p Point) float64 {
	x := min(max(p.X-0.5, 0), float64(g.Width-1))
	y := min(max(p.Y-0.5, 0), float64(g.Height-1))
	left, top := int(x), int(y)
	fx, fy := x-float64(left), y-float64(top)
	right, below := 1, g.Stride
	if left == g.Width-1 {
		right = 0
	}
	if top == g.Height-1 {
		below = 0
	}
	i := top*g.Stride + left
	a, b := float64(g.Pix[i]), float64(g.Pix[i+right])
	c, d := float64(g.Pix[i+below]), float64(g.Pix[i+below+right])
	a += (b - a) * fx
	c += (d - c) * fx
	return a + (c-a)*fy
}

// Pt is the point at x and y.
func Pt(x, y float64) Point { return Point{x, y} }
