package decode

import (
	"math"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// AffineQR reads the modules and decodes them, plain and sharpened.
func AffineQR(f *fit.Affine, accept func(string) bool) (Find, bool) {
	// Most triples of finders are none: look at their frame before the rest.
	if _, ok := qrLevels(f.Columns, f.Value); !ok {
		return Find{}, false
	}
	plain := f.Sample()
	for _, sharpen := range []float64{0, 0.5, 1, 1.5} {
		s := plain.Sharpened(sharpen)
		level, ok := qrLevels(s.Columns, s.At)
		if !ok {
			return Find{}, false
		}
		if text, ok := decoded(fit.QR, s.Columns, classify(s, level)); ok && accept(text) {
			return Find{text, fit.QR, f.Module(), f.Corners()}, true
		}
	}
	return Find{}, false
}

// finderDark reports whether module (x, y) of a finder pattern is dark; x and y
// from 0 to 6.
func finderDark(x, y int) bool {
	ring := max(math.Abs(float64(x)-3), math.Abs(float64(y)-3))
	return ring < 2 || ring == 3
}

// qrLevels finds the level between dark and light at each of the three
// finders, and lays a plane through them, for uneven light. It refuses a field
// whose finders or timing lines are not where they belong.
func qrLevels(side int, at func(x, y int) float64) (level func(x, y int) float64, ok bool) {
	var levels [3]float64
	wrong, seen := 0, 0
	for i, place := range [3][2]int{{0, 0}, {side - 7, 0}, {0, side - 7}} {
		var sum, count [2]float64
		each := func(see func(dark int, value float64)) {
			for y := range 7 {
				for x := range 7 {
					dark := 0
					if finderDark(x, y) {
						dark = 1
					}
					see(dark, at(place[0]+x, place[1]+y))
				}
			}
		}
		each(func(dark int, value float64) { sum[dark] += value; count[dark]++ })
		light, dark := sum[0]/count[0], sum[1]/count[1]
		if light-dark < pixels.MinContrast/2 {
			return nil, false
		}
		levels[i] = (light + dark) / 2
		each(func(dark int, value float64) {
			seen++
			if (value < levels[i]) != (dark == 1) {
				wrong++
			}
		})
	}
	if 4*wrong > seen {
		return nil, false
	}
	span := float64(side - 7)
	across, down := (levels[1]-levels[0])/span, (levels[2]-levels[0])/span
	level = func(x, y int) float64 { return levels[0] + across*float64(x-3) + down*float64(y-3) }
	wrong, seen = 0, 0
	for i := 8; i < side-8; i++ {
		for _, place := range [2][2]int{{i, 6}, {6, i}} {
			seen++
			if (at(place[0], place[1]) < level(place[0], place[1])) != (i%2 == 0) {
				wrong++
			}
		}
	}
	return level, 5*wrong <= 2*seen
}

// AffineMatrix reads the modules and decodes them, plain and sharpened, with one
// threshold taken from the frame and, once, with those of the picture.
func AffineMatrix(f *fit.Affine, accept func(string) bool) (Find, bool) {
	find := func(text string) (Find, bool) {
		return Find{text, fit.DataMatrix, f.Module(), f.Corners()}, true
	}
	plain := f.Sample()
	if text, ok := decoded(fit.DataMatrix, f.Columns, classify(plain, f.Threshold)); ok && accept(text) {
		return find(text)
	}
	for _, sharpen := range []float64{0, 0.5, 1, 1.5} {
		s := plain.Sharpened(sharpen)
		level := frameLevel(s)
		modules := classify(s, func(int, int) float64 { return level })
		if text, ok := decoded(fit.DataMatrix, f.Columns, modules); ok && accept(text) {
			return find(text)
		}
	}
	return Find{}, false
}

// frameLevel is half-way between the solid border and the light modules of the
// broken lines.
func frameLevel(s *fit.Samples) float64 {
	dark, light := 0.0, 0.0
	for x := range s.Columns {
		dark += s.At(x, s.Rows-1)
		light += s.At(x, 0) * float64(x%2)
	}
	for y := range s.Rows {
		dark += s.At(0, y)
		light += s.At(s.Columns-1, y) * float64((s.Rows-1-y)%2)
	}
	n := float64(s.Columns + s.Rows)
	return (dark/n + light/(n/2)) / 2
}
