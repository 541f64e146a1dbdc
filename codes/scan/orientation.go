package scan

import (
	"context"
	"image"
	"image/color"
	"slices"

	"graftslip/codes/scan/internal/pixels"
)

// readLying reads a picture that lies as its orientation, 1 to 8, says, as
// Photograph reads an upright one: it turns the reading rather than the picture,
// which takes next to no time. Only a mirrored picture is copied, row by row,
// since a symbol in a mirror may not be read, and bars there cannot be told from
// bars that stand on their head.
func readLying(ctx context.Context, picture image.Image, orientation int, wanted func(text string) bool) (View, error) {
	if orientation == 1 {
		reading, err := Photograph(ctx, picture, wanted)
		return View{Picture: picture, Reading: reading}, err
	}
	turning := turningOf(orientation)
	view := View{Picture: uprightPicture{picture, turning}}
	if turning.mirrors() {
		picture, turning = flipped(picture), turning.afterFlip()
	}
	reading, err := Photograph(ctx, picture, wanted)
	view.Reading = turning.reading(reading, picture.Bounds().Size())
	return view, err
}

// flipped gives the luminance of a picture with the last row at the top.
func flipped(picture image.Image) *image.Gray {
	g := pixels.NewGrey(picture)
	flipped := image.NewGray(image.Rect(0, 0, g.Width, g.Height))
	for y := range g.Height {
		copy(flipped.Pix[(g.Height-1-y)*flipped.Stride:][:g.Width], g.Pix[y*g.Stride:])
	}
	return flipped
}

// turning is the way from a picture as it lies to the upright one: rows and
// columns are exchanged first, then left and right, and top and bottom.
type turning struct {
	exchanged, leftRight, topBottom bool
}

// turningOf gives what an orientation, 1 to 8, asks for. The standard says for
// each at which side of the upright picture the first row and the first column
// lie. Source: TIFF 6.0, section 8, from memory.
func turningOf(orientation int) turning {
	return [...]turning{
		{},                                 // 1: row at the top, column on the left
		{leftRight: true},                  // 2: top, right
		{leftRight: true, topBottom: true}, // 3: bottom, right
		{topBottom: true},                  // 4: bottom, left
		{exchanged: true},                  // 5: left, top
		{exchanged: true, leftRight: true}, // 6: right, top
		{exchanged: true, leftRight: true, topBottom: true}, // 7: right, bottom
		{exchanged: true, topBottom: true},                  // 8: left, bottom
	}[orientation-1]
}

// mirrors reports whether the picture lies there as if seen in a mirror.
func (t turning) mirrors() bool {
	return t.exchanged != (t.leftRight != t.topBottom)
}

// afterFlip is the way that is left to go once top and bottom of the lying
// picture have been exchanged.
func (t turning) afterFlip() turning {
	if t.exchanged {
		t.leftRight = !t.leftRight
	} else {
		t.topBottom = !t.topBottom
	}
	return t
}

// size is that of the upright picture, for a picture of a size as it lies.
func (t turning) size(lying image.Point) image.Point {
	if t.exchanged {
		return image.Pt(lying.Y, lying.X)
	}
	return lying
}

// reading turns what was read off a picture of a size as it lies, in the
// reading order of the upright one.
func (t turning) reading(r Reading, lying image.Point) Reading {
	turned := Reading{Found: slices.Clone(r.Found), Missed: slices.Clone(r.Missed)}
	for i, found := range turned.Found {
		turned.Found[i].Sight = t.sight(found.Sight, lying)
	}
	for i, missed := range turned.Missed {
		turned.Missed[i].Sight = t.sight(missed.Sight, lying)
	}
	sortReading(turned.Found, func(f Found) Sight { return f.Sight })
	sortReading(turned.Missed, func(m Missed) Sight { return m.Sight })
	return turned
}

// sight turns where something is seen.
func (t turning) sight(s Sight, lying image.Point) Sight {
	from := t.point(pixels.Pt(float64(s.Place.Min.X), float64(s.Place.Min.Y)), lying)
	to := t.point(pixels.Pt(float64(s.Place.Max.X), float64(s.Place.Max.Y)), lying)
	s.Place = image.Rect(int(from.X), int(from.Y), int(to.X), int(to.Y))
	for i, corner := range s.Corners {
		s.Corners[i] = t.point(corner, lying)
	}
	return s
}

// point turns a position.
func (t turning) point(p Point, lying image.Point) Point {
	size := t.size(lying)
	if t.exchanged {
		p.X, p.Y = p.Y, p.X
	}
	if t.leftRight {
		p.X = float64(size.X) - p.X
	}
	if t.topBottom {
		p.Y = float64(size.Y) - p.Y
	}
	return p
}

// uprightPicture shows a picture the way that it is meant to be seen. Its upper
// left corner is at (0, 0).
type uprightPicture struct {
	lying   image.Image
	turning turning
}

func (u uprightPicture) ColorModel() color.Model { return u.lying.ColorModel() }

func (u uprightPicture) Bounds() image.Rectangle {
	return image.Rectangle{Max: u.turning.size(u.lying.Bounds().Size())}
}

func (u uprightPicture) At(x, y int) color.Color {
	size := u.Bounds().Max
	if u.turning.leftRight {
		x = size.X - 1 - x
	}
	if u.turning.topBottom {
		y = size.Y - 1 - y
	}
	if u.turning.exchanged {
		x, y = y, x
	}
	corner := u.lying.Bounds().Min
	return u.lying.At(corner.X+x, corner.Y+y)
}
