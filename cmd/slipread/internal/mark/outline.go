package mark

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"

	"graftslip/codes/scan"
)

// pen draws the outline of one sign.
type pen struct {
	corners [4]point
	gap     margins // between the symbol and the line
	width   float64 // of the line, in pixels
	casing  float64 // white on both sides of the line, for dark backgrounds
	style   style
}

// margins are distances outwards from the sides of a symbol as printed, in pixels: along
// from its top and bottom, ends from its left and right side.
type margins struct{ along, ends float64 }

func (m margins) and(more float64) margins { return margins{m.along + more, m.ends + more} }

type point scan.Point

func (p point) add(q point) point            { return point{p.X + q.X, p.Y + q.Y} }
func (p point) sub(q point) point            { return point{p.X - q.X, p.Y - q.Y} }
func (p point) times(f float64) point        { return point{p.X * f, p.Y * f} }
func (p point) cross(q point) float64        { return p.X*q.Y - p.Y*q.X }
func (p point) length() float64              { return math.Hypot(p.X, p.Y) }
func (p point) towards(q point) point        { return q.sub(p).unit() }
func (p point) unit() point                  { return p.times(1 / max(p.length(), 1e-9)) }
func (p point) right() point                 { return point{-p.Y, p.X} }
func (p point) far(d point, f float64) point { return p.add(d.times(f)) }

// lineWidth returns the width of outlines, in pixels, from the shorter side.
func lineWidth(picture image.Rectangle) float64 {
	const least, share = 2, 1.0 / 450
	return math.Max(least, math.Round(float64(min(picture.Dx(), picture.Dy()))*share))
}

// newPen leaves the space round a symbol that readers need: one module, and at the ends
// of bars the whole quiet zone (ISO/IEC 15417).
func newPen(picture image.Rectangle, sign Sign) pen {
	const bars = 10
	width := lineWidth(picture)
	casing := math.Max(1, math.Round(width/3))
	free := func(modules float64) float64 { return math.Max(modules*sign.Sight.Module, casing+1) }
	p := pen{width: width, casing: casing, gap: margins{free(1), free(1)}, style: sign.style()}
	if sign.Symbol == scan.Code128 {
		p.gap.ends = free(bars)
	}
	for i, c := range sign.Sight.Corners {
		p.corners[i] = point(c)
	}
	return p
}

// box is the smallest box of whole pixels round the outline.
func (p pen) box() image.Rectangle {
	return bounds(outset(p.corners, p.gap.and(p.width+p.casing)))
}

// middle is the centre line.
func (p pen) middle() [4]point { return outset(p.corners, p.gap.and(p.width/2)) }

func (p pen) draw(page *image.RGBA) {
	ring := func(from, to margins, c color.RGBA) {
		inner, outer := outset(p.corners, from), outset(p.corners, to)
		fill(page, c, outer[:], []point{inner[3], inner[2], inner[1], inner[0]})
	}
	ring(p.gap.and(-p.casing), p.gap.and(p.width+p.casing), color.RGBA{255, 255, 255, 255})
	if p.style.broken == nil {
		ring(p.gap, p.gap.and(p.width), p.style.line)
		return
	}
	line := p.middle()
	for i, from := range line {
		p.dash(page, from, line[(i+1)%4])
	}
}

// dash draws a dashed line that begins and ends with half a dash, so that each corner
// shows as an angle.
func (p pen) dash(page *image.RGBA, from, to point) {
	period, half := p.style.broken.period, p.style.broken.half
	length := to.sub(from).length()
	count := math.Max(1, math.Round(length/(period*p.width)))
	along := from.towards(to)
	aside := along.right().times(p.width / 2)
	for i := 0.0; i <= count; i++ {
		start := from.far(along, math.Max(0, i-half)*length/count-p.width/2)
		end := from.far(along, math.Min(count, i+half)*length/count+p.width/2)
		fill(page, p.style.line, []point{start.add(aside), end.add(aside), end.sub(aside), start.sub(aside)})
	}
}

// outset moves the sides of a quadrilateral outwards. Where two moved sides meet nowhere
// or far away, the corner is moved away from the middle instead.
func outset(corners [4]point, by margins) [4]point {
	var middle point
	turned := 0.0 // above 0: the corners go clockwise
	for i, c := range corners {
		middle = middle.add(c.times(0.25))
		turned += c.cross(corners[(i+1)%4])
	}
	side := func(i int) (at, along point) {
		along = corners[i%4].towards(corners[(i+1)%4])
		return corners[i%4].far(along.right(), math.Copysign([2]float64{by.along, by.ends}[i%2], -turned)), along
	}
	var moved [4]point
	for i, c := range corners {
		const longest, flattest = 3, 0.05 // of a mitre, in margins; sine of the angle at a corner
		most := max(by.along, by.ends)
		a, along := side(i + 3)
		b, onwards := side(i)
		moved[i] = c.far(middle.towards(c), most*math.Sqrt2)
		if sine := along.cross(onwards); math.Abs(sine) > flattest {
			if m := a.far(along, b.sub(a).cross(onwards)/sine); m.sub(c).length() <= longest*most {
				moved[i] = m
			}
		}
	}
	return moved
}

// bounds returns the smallest box of whole pixels round corners.
func bounds(corners [4]point) image.Rectangle {
	low, high := corners[0], corners[0]
	for _, c := range corners[1:] {
		low = point{min(low.X, c.X), min(low.Y, c.Y)}
		high = point{max(high.X, c.X), max(high.Y, c.Y)}
	}
	return image.Rect(int(math.Floor(low.X)), int(math.Floor(low.Y)), int(math.Ceil(high.X)), int(math.Ceil(high.Y)))
}

// fill fills the first figure without the others, whose corners go the other way round.
func fill(page *image.RGBA, c color.RGBA, figures ...[]point) {
	box := image.Rectangle{}
	for _, corners := range figures {
		box = box.Union(bounds([4]point(corners)))
	}
	if box = box.Intersect(page.Bounds()); box.Empty() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, corners := range figures {
		for i, corner := range corners {
			x, y := float32(corner.X-float64(box.Min.X)), float32(corner.Y-float64(box.Min.Y))
			if i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	r.Draw(page, box, image.NewUniform(c), image.Point{})
}
