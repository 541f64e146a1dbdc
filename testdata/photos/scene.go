package photos

import (
	"image"
	"math"
)

// margin is how far a label changes the picture beyond itself, in pixels, beside
// what its shadow needs.
const margin = 8

// laid is a label in a scene.
type laid struct {
	sheet  *sheet
	view   view
	drops  []drop
	lamp   float64 // where light comes from along a bend, as the sine of an angle
	shadow point   // way of the shadow on the ground, pixels
	soft   float64 // standard deviation of its edge, pixels
}

// box is the part of the picture that shows a label.
func (l *laid) box() image.Rectangle {
	const steps = 32
	low, high := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for i := range steps + 1 {
		for j := range steps + 1 {
			p, front := l.view.picture(point{
				float64(l.sheet.width) * float64(i) / steps / l.sheet.scale, float64(l.sheet.height) * float64(j) / steps / l.sheet.scale,
			})
			if front {
				low, high = point{min(low.x, p.x), min(low.y, p.y)}, point{max(high.x, p.x), max(high.y, p.y)}
			}
		}
	}
	return image.Rect(int(low.x), int(low.y), int(high.x)+1, int(high.y)+1)
}

// bright is the light that a place on a bent sheet gets, of that in front.
func (l *laid) bright(normal float64) float32 {
	if normal == 0 {
		return 1
	}
	const ambient = 0.4
	facing := func(n float64) float64 {
		return max(0, n*l.lamp+math.Sqrt(max(0, 1-n*n))*math.Sqrt(1-l.lamp*l.lamp))
	}
	return float32((ambient + (1-ambient)*facing(normal)) / (ambient + (1-ambient)*facing(0)))
}

// coverage is how much of each pixel of a part of a picture a label covers.
type coverage struct {
	box image.Rectangle
	pix []float32
}

// reach is the part of the picture that a label and its shadow may change.
func (l *laid) reach() image.Rectangle {
	return l.box().Inset(-margin - int(3*l.soft+l.shadow.length()))
}

// lay draws a label on a window that shows the ground.
func (l *laid) lay(t *tones, w *planes) coverage {
	area := l.reach().Intersect(w.box)
	width, height := area.Dx(), area.Dy()
	cover := coverage{area, make([]float32, width*height)}
	seen := make([]colour, width*height)
	sheet := l.sheet
	for l.view.scale/sheet.scale < 0.5 {
		sheet = sheet.halved(t)
	}
	const samples = 3 // each way
	inner := l.box().Inset(-2).Intersect(area)
	for y := inner.Min.Y; y < inner.Max.Y; y++ {
		for x := inner.Min.X; x < inner.Max.X; x++ {
			var sum colour
			var sheets float32
			for i := range samples * samples {
				at := point{float64(x) + (float64(i%samples)+0.5)/samples, float64(y) + (float64(i/samples)+0.5)/samples}
				s, met := l.view.sheet(at)
				if !met {
					continue
				}
				sheets += l.look(t, sheet, s, &sum)
			}
			if sheets > 0 {
				i := (y-area.Min.Y)*width + x - area.Min.X
				cover.pix[i] = min(1, sheets/(samples*samples))
				seen[i] = sum.times(1.0 / (samples * samples))
			}
		}
	}
	dark := moved(cover.pix, width, height, l.shadow)
	blurBoxes(dark, width, height, l.soft)
	const deep = 0.55 // of the light that the shadow takes
	for i, c := range cover.pix {
		at := w.offset(area.Min.X+i%width, area.Min.Y+i/width)
		w.set(at, w.at(at).times((1-deep*dark[i])*(1-c)).plus(seen[i]))
	}
	return cover
}

// look adds what is seen of the sheet and of drops on it.
func (l *laid) look(t *tones, sheet *sheet, s seen, sum *colour) float32 {
	bright := l.bright(s.normal)
	for i := range l.drops {
		if from, clear, glint, inside := l.drops[i].through(s.at); inside {
			left := sheet.look(t, from, sum, bright*clear)
			for c := range sum {
				sum[c] += glint * left
			}
			return left
		}
	}
	return sheet.look(t, s.at, sum, bright)
}

// moved is a plane moved by whole pixels.
func moved(plane []float32, width, height int, way point) []float32 {
	to := make([]float32, len(plane))
	dx, dy := int(math.Round(way.x)), int(math.Round(way.y))
	for y := max(0, dy); y < min(height, height+dy); y++ {
		for x := max(0, dx); x < min(width, width+dx); x++ {
			to[y*width+x] = plane[(y-dy)*width+x-dx]
		}
	}
	return to
}
