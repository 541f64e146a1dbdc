package proof

import (
	"image"
	"math"

	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/layouts"
)

// grid ties the pixels of a drawn page to the labels of its stock. Lengths are
// millimetres of the paper, that is with the correction of the printer taken
// back.
type grid struct {
	labels.Setup
	pixel float64 // side of a pixel on the page as it was drawn
}

// paper returns where a point of the picture comes to lie on the paper.
func (g grid) paper(x, y float64) (paperX, paperY float64) {
	scaleX, scaleY := g.Correction.Scales()
	return (x*g.pixel - g.Correction.ShiftX) / scaleX, (y*g.pixel - g.Correction.ShiftY) / scaleY
}

// area returns where a part of the picture comes to lie on the paper.
func (g grid) area(r image.Rectangle) layouts.Rect {
	left, top := g.paper(float64(r.Min.X), float64(r.Min.Y))
	right, bottom := g.paper(float64(r.Max.X), float64(r.Max.Y))
	return layouts.Rect{X: left, Y: top, Width: right - left, Height: bottom - top}
}

// pixels returns the part of the picture that shows a label.
func (g grid) pixels(place int) image.Rectangle {
	label := g.Correction.Area(g.Stock.Position(place).Rect)
	return image.Rect(int(math.Floor(label.X/g.pixel)), int(math.Floor(label.Y/g.pixel)),
		int(math.Ceil((label.X+label.Width)/g.pixel)), int(math.Ceil((label.Y+label.Height)/g.pixel)))
}

// outside is the place of what lies on no label.
const outside = -1

// place returns which label holds a point of the paper, counted as
// layouts.Stock.Position counts, or outside.
func (g grid) place(x, y float64) int {
	column, row := place(x-g.Stock.Left, g.Stock.PitchX, g.Stock.Label.Width, g.Stock.Columns), place(y-g.Stock.Top, g.Stock.PitchY, g.Stock.Label.Height, g.Stock.Rows)
	if column == outside || row == outside {
		return outside
	}
	return row*g.Stock.Columns + column
}

// place finds the strip that holds a distance from the first one's start.
func place(from, pitch, length float64, count int) int {
	n := math.Floor(from / pitch)
	if n < 0 || n >= float64(count) || from-n*pitch > length {
		return outside
	}
	return int(n)
}

// placeOf returns which label holds the middle of a part of the picture.
func (g grid) placeOf(r image.Rectangle) int {
	return g.place(g.paper(float64(r.Min.X+r.Max.X)/2, float64(r.Min.Y+r.Max.Y)/2))
}

// dark is the light, of white, below which a printer sets a dot.
const dark = 128

// ink returns the boxes around the ink on each label, and around the ink
// that is on none. A box without ink is empty.
func (g grid) ink(picture *image.Gray) (boxes []image.Rectangle, stray image.Rectangle) {
	boxes = make([]image.Rectangle, g.Stock.Count())
	width, height := picture.Rect.Dx(), picture.Rect.Dy()
	columns, rows := make([]int, width), make([]int, height)
	for x := range columns {
		paperX, _ := g.paper(float64(x)+0.5, 0)
		columns[x] = place(paperX-g.Stock.Left, g.Stock.PitchX, g.Stock.Label.Width, g.Stock.Columns)
	}
	for y := range rows {
		_, paperY := g.paper(0, float64(y)+0.5)
		rows[y] = place(paperY-g.Stock.Top, g.Stock.PitchY, g.Stock.Label.Height, g.Stock.Rows)
	}
	for y, row := range rows {
		for x, light := range picture.Pix[y*picture.Stride:][:width] {
			if light >= dark {
				continue
			}
			box := &stray
			if row != outside && columns[x] != outside {
				box = &boxes[row*g.Stock.Columns+columns[x]]
			}
			*box = grown(*box, x, y)
		}
	}
	return boxes, stray
}

// grown is the box around a box and a pixel below its top.
func grown(box image.Rectangle, x, y int) image.Rectangle {
	if box.Empty() {
		return image.Rect(x, y, x+1, y+1)
	}
	return image.Rectangle{image.Pt(min(box.Min.X, x), box.Min.Y), image.Pt(max(box.Max.X, x+1), y+1)}
}

// drawable returns the resolution at which a page of paper is drawn: dpi, or
// the largest whole part of it that scan.MaxPixels allow. A printer dot is then
// a whole part of a pixel.
func drawable(paper layouts.Size, dpi float64) float64 {
	pixels := func(mm, dpi float64) float64 { return math.Ceil(mm / layouts.MillimetresPerInch * dpi) }
	n := 1.0
	for pixels(paper.Width, dpi/n)*pixels(paper.Height, dpi/n) > scan.MaxPixels {
		n++
	}
	return dpi / n
}
