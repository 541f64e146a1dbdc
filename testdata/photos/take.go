package photos

import (
	"fmt"
	"image"
	"math"
)

const degree = math.Pi / 180

// shot is a photograph while it is made.
type shot struct {
	dice
	tones  *tones
	harm   damages
	size   image.Point
	cut    slip
	view   view
	prints prints
	module float64 // pixels
}

// Take photographs one label or card with a symbol: "qr", "datamatrix" or
// "code128". Equal arguments give equal bytes. Errors are for arguments that it
// does not know.
func (s *Slips) Take(kind Kind, symbol string, megapixels float64, seed uint64) (Photo, error) {
	t, err := s.shot(kind, symbol, megapixels, seed)
	if err != nil {
		return Photo{}, err
	}
	content, err := t.expose()
	if err != nil {
		return Photo{}, err
	}
	code := codeOf(t.cut, &t.view)
	return Photo{Kind: kind, Symbol: symbol, Seed: seed, JPEG: content, Size: t.size, Codes: []Code{code}}, nil
}

// shot chooses a label and places the camera before it.
func (s *Slips) shot(kind Kind, symbol string, megapixels float64, seed uint64) (*shot, error) {
	harm, known := kind.damages()
	if !known {
		return nil, fmt.Errorf("no photograph is of the kind %q: Kinds lists them", kind)
	}
	slips, known := s.bySymbol[symbol]
	if !known {
		return nil, fmt.Errorf("no slip carries a symbol %q: use qr, datamatrix or code128", symbol)
	}
	if err := checkSize(megapixels); err != nil {
		return nil, err
	}
	d := newDice(kind, symbol, megapixels, seed)
	t := &shot{dice: d, tones: &s.tones, harm: harm, size: d.size(megapixels), cut: slips[d.IntN(len(slips))]}
	t.stand(megapixels)
	return t, nil
}

// Sizes of a picture, in millions of pixels.
const (
	leastMegapixels = 0.2
	mostMegapixels  = 50
)

func checkSize(megapixels float64) error {
	if !(megapixels >= leastMegapixels && megapixels <= mostMegapixels) {
		return fmt.Errorf("no photograph has %v megapixels: use %v to %v", megapixels, leastMegapixels, mostMegapixels)
	}
	return nil
}

// size is that of a picture of 4:3, lying or standing: 1632 × 1224 for 2
// megapixels, 4032 × 3024 for 12, and any other between and beyond.
func (d dice) size(megapixels float64) image.Point {
	long := math.Sqrt(megapixels * 1e6 * 4 / 3)
	// Sensors have sides of whole blocks of 16 pixels.
	size := image.Pt(16*int(math.Round(long/16)), 12*int(math.Round(long/16)))
	switch megapixels {
	case 2:
		size = image.Pt(1632, 1224)
	case 12:
		size = image.Pt(4032, 3024)
	}
	if d.chance(0.5) {
		return image.Pt(size.Y, size.X)
	}
	return size
}

// moduleSize is how large a module is to be, in pixels: 2.5-7 up to 2
// megapixels, 3-14 from 12 on, between by the logarithm of their number.
func (d dice) moduleSize(megapixels float64, small bool) float64 {
	if small {
		return d.between(1.8, 2.5)
	}
	part := min(max(math.Log(megapixels/2)/math.Log(6), 0), 1)
	return d.logBetween(2.5+0.5*part, 7+7*part)
}

// stand places the camera.
func (t *shot) stand(megapixels float64) {
	side := max(t.cut.symbol.across.length(), t.cut.symbol.down.length())
	v := view{middle: t.cut.symbol.at(0.5, 0.5)}
	turn, tilt, near := t.between(-12, 12), t.between(0, 10), span{8, 15}
	if t.harm.anyTurn {
		turn = t.between(0, 360)
	}
	if !t.harm.tilt.none() {
		tilt, near = t.within(t.harm.tilt), span{3, 6}
	}
	v.distance = side * t.within(near)
	v.turn = turned(turn*degree-float64(t.cut.turn)*math.Pi/2, tilt*degree, t.angle())
	if t.harm.bend > 0 {
		v.axisDown = t.chance(0.5)
		along := max(math.Abs(t.cut.symbol.across.x), math.Abs(t.cut.symbol.down.x))
		if !v.axisDown {
			along = max(math.Abs(t.cut.symbol.across.y), math.Abs(t.cut.symbol.down.y))
		}
		v.radius = along / (t.harm.bend * degree)
	}
	v.scale = 1
	v.scale = t.moduleSize(megapixels, t.harm.small) / codeOf(t.cut, &v).Module
	low, high := t.reach(&v)
	const free = 10 // pixels between the quiet zone and the edge of the picture
	room := point{float64(t.size.X) - 2*free, float64(t.size.Y) - 2*free}
	if shrink := min(room.x/(high.x-low.x), room.y/(high.y-low.y)); shrink < 1 {
		v.scale *= shrink
		low, high = low.times(shrink), high.times(shrink)
	}
	v.place = point{
		free - low.x + t.Float64()*(room.x-(high.x-low.x)), free - low.y + t.Float64()*(room.y-(high.y-low.y)),
	}
	t.view, t.module = v, codeOf(t.cut, &v).Module
}

// reach is the part of the picture that a symbol with its quiet zone takes, in
// pixels.
func (t *shot) reach(v *view) (low, high point) {
	const steps = 8
	low, high = point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for i := range steps + 1 {
		for j := range steps + 1 {
			p, _ := v.picture(t.cut.withQuiet().at(float64(i)/steps, float64(j)/steps))
			low, high = point{min(low.x, p.x), min(low.y, p.y)}, point{max(high.x, p.x), max(high.y, p.y)}
		}
	}
	return low, high
}

// withQuiet is the symbol with its quiet zone.
func (s slip) withQuiet() frame {
	quietX, quietY := s.modules.Quiet()
	across := s.symbol.across.times(s.module * float64(quietX) / s.symbol.across.length())
	down := s.symbol.down.times(s.module * float64(quietY) / s.symbol.down.length())
	return frame{
		s.symbol.corner.minus(across).minus(down), s.symbol.across.plus(across.times(2)), s.symbol.down.plus(down.times(2)),
	}
}

// codeOf is what a symbol is on the picture.
func codeOf(s slip, v *view) Code {
	code := Code{Text: s.text}
	for i, c := range s.symbol.corners() {
		p, _ := v.picture(c)
		code.Corners[i] = [2]float64{p.x, p.y}
	}
	way := func(fromU, fromV, toU, toV float64) (sum float64) {
		const steps = 8
		last, _ := v.picture(s.symbol.at(fromU, fromV))
		for i := 1; i <= steps; i++ {
			part := float64(i) / steps
			next, _ := v.picture(s.symbol.at(fromU+(toU-fromU)*part, fromV+(toV-fromV)*part))
			sum += next.minus(last).length()
			last = next
		}
		return sum
	}
	code.Module = (way(0, 0, 1, 0) + way(0, 1, 1, 1)) / 2 / float64(s.modules.Width())
	if s.modules.Height() > 1 {
		code.Module = min(code.Module, (way(0, 0, 0, 1)+way(1, 0, 1, 1))/2/float64(s.modules.Height()))
	}
	return code
}
