package photos

import (
	"image"
	"math"
)

// cropped is the part of a slip that is printed around its symbol, up to the
// next blank stretch of the label, as it is seen when the rest is wrapped
// round a stem or cut off. A tight one is the symbol with its quiet zone alone.
func (s slip) cropped(tight bool) slip {
	quiet := s.withQuiet()
	low, high := quiet.at(0, 0), quiet.at(1, 1)
	box := image.Rect(int(min(low.x, high.x)), int(min(low.y, high.y)), int(max(low.x, high.x))+1, int(max(low.y, high.y))+1)
	if !tight {
		blank := int(math.Round(5 * millimetre))
		columns, _ := s.inked(s.picture.Rect)
		box.Min.X, box.Max.X = grown(columns, box.Min.X, box.Max.X, blank)
		_, rows := s.inked(image.Rect(box.Min.X, 0, box.Max.X, s.picture.Rect.Dy()).Intersect(s.picture.Rect))
		box.Min.Y, box.Max.Y = grown(rows, box.Min.Y, box.Max.Y, blank)
	}
	edge := int(math.Round(1.2 * millimetre))
	box = box.Inset(-edge).Intersect(s.picture.Rect)
	c := s
	c.picture = s.picture.SubImage(box).(*image.Gray)
	c.picture.Rect = c.picture.Rect.Sub(box.Min)
	c.symbol.corner = s.symbol.corner.minus(point{float64(box.Min.X), float64(box.Min.Y)})
	return c
}

// inked tells in which columns and rows of an area of the slip there is ink.
func (s slip) inked(area image.Rectangle) (columns, rows []bool) {
	columns, rows = make([]bool, s.picture.Rect.Dx()), make([]bool, s.picture.Rect.Dy())
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			if s.picture.Pix[y*s.picture.Stride+x] < 128 {
				columns[x], rows[y] = true, true
			}
		}
	}
	return columns, rows
}

// grown is a stretch made longer to either side until there is no ink for as
// long as blank.
func grown(ink []bool, from, to, blank int) (int, int) {
	for i := from; i >= max(0, from-blank); i-- {
		if i < len(ink) && ink[i] {
			from = i
		}
	}
	for i := max(0, to); i < min(len(ink), to+blank); i++ {
		if ink[i] {
			to = i + 1
		}
	}
	return from, to
}
