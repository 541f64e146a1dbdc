package scan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

const (
	qrNeighbours = 24   // finders that are tried as partners of one
	qrTries      = 4000 // triples that are tried in one picture
	qrMaxModules = 177  // a side, of version 40
)

// triple is three finders that may belong to one QR code.
type triple struct {
	corner, right, below int // indices of finders
	side                 int // modules a side
	misfit               float64
}

// readQR reads the QR codes of a picture.
func readQR(ctx context.Context, g *grey, t *thresholds, accept func(string) bool) []find {
	all := finders(ctx, g, t)
	used := make([]bool, len(all))
	var finds []find
	for i, try := range triples(ctx, all) {
		if i >= qrTries || ctx.Err() != nil {
			break
		}
		if used[try.corner] || used[try.right] || used[try.below] {
			continue
		}
		a, b, c := all[try.corner], all[try.right], all[try.below]
		f := qrField(g, a.middle, b.middle, c.middle, try.side)
		text, ok := f.readQR(a.inverted, accept)
		if !ok {
			continue
		}
		used[try.corner], used[try.right], used[try.below] = true, true, true
		finds = append(finds, find{text: text, symbol: QR, module: f.module(), corners: f.corners()})
	}
	return finds
}

// tripleLimits say which three finders may belong together.
type tripleLimits struct {
	size float64 // the larger finder's module in those of the smaller
	arms float64 // the longer arm in those of the shorter
	skew float64 // cosine of the angle between them
	off  float64 // from a whole version, as a share of the side
}

func strictLimits() tripleLimits { return tripleLimits{1.5, 1.35, 0.3, 0.15} }

// looseLimits hold for a tilt of 45°, which makes arms shorter by up to 0.7.
func looseLimits() tripleLimits { return tripleLimits{1.9, 1.7, 0.5, 0.22} }

// triples gives the triples worth a try, the likeliest first.
func triples(ctx context.Context, all []finder) []triple {
	return triplesWithin(ctx, all, strictLimits())
}

func triplesWithin(ctx context.Context, all []finder, limits tripleLimits) []triple {
	var result []triple
	near := make([]int, 0, len(all))
	for i, corner := range all {
		if i%64 == 0 && ctx.Err() != nil {
			return nil
		}
		near = near[:0]
		for j, other := range all {
			distance := other.middle.distance(corner.middle)
			if j != i && other.inverted == corner.inverted &&
				other.module < limits.size*corner.module && corner.module < limits.size*other.module &&
				distance > 7*corner.module && distance < 1.2*qrMaxModules*corner.module {
				near = append(near, j)
			}
		}
		slices.SortStableFunc(near, func(a, b int) int {
			return cmp.Compare(all[a].middle.distance(corner.middle), all[b].middle.distance(corner.middle))
		})
		near = near[:min(len(near), qrNeighbours)]
		for _, b := range near {
			for _, c := range near {
				result = limits.appendTriple(result, all, i, b, c)
			}
		}
	}
	slices.SortStableFunc(result, func(a, b triple) int { return cmp.Compare(a.misfit, b.misfit) })
	return result
}

// appendTriple judges three finders: the arms from the corner must be of one
// length, at a right angle, and a whole number of modules that a version has.
func (l tripleLimits) appendTriple(result []triple, all []finder, corner, right, below int) []triple {
	a, b, c := all[corner], all[right], all[below]
	u, v := b.middle.sub(a.middle), c.middle.sub(a.middle)
	lu, lv := u.length(), v.length()
	if u.cross(v) <= 0 || lu > l.arms*lv || lv > l.arms*lu {
		return result
	}
	skew := math.Abs(u.dot(v)) / (lu * lv)
	if skew > l.skew {
		return result
	}
	// A square that is turned is wider along the rows than along its side.
	turn := max(math.Abs(u.x), math.Abs(u.y)) / lu
	module := (a.module + b.module + c.module) / 3 * turn
	side := (lu+lv)/2/module + 7
	version := (side - 17) / 4
	for _, v := range []float64{math.Floor(version), math.Ceil(version)} {
		if v < 1 || v > 40 {
			continue
		}
		off := math.Abs(side-17-4*v) / side
		if off > l.off {
			continue
		}
		misfit := off + skew + math.Abs(lu-lv)/(lu+lv)
		result = append(result, triple{corner, right, below, 17 + 4*int(v), misfit})
	}
	return result
}

// qrField lays the modules of a QR code over the middles of its finders.
func qrField(g *grey, corner, right, below point, side int) *field {
	across := right.sub(corner).mul(1 / float64(side-7))
	down := below.sub(corner).mul(1 / float64(side-7))
	origin := corner.sub(across.mul(3.5)).sub(down.mul(3.5))
	return &field{g: g, origin: origin, across: across, down: down, columns: side, rows: side}
}

// readQR reads the modules and decodes them, plain and sharpened.
func (f *field) readQR(inverted bool, accept func(string) bool) (string, bool) {
	// Most triples of finders are none: look at their frame before the rest.
	if _, ok := qrLevels(f.columns, func(x, y int) float64 { return f.value(x, y, inverted) }); !ok {
		return "", false
	}
	plain := f.sample(inverted)
	for _, sharpen := range []float64{0, 0.5, 1, 1.5} {
		s := plain.sharpened(sharpen)
		level, ok := qrLevels(s.columns, s.at)
		if !ok {
			return "", false
		}
		if text, ok := decodeQR(s.part(level)); ok && accept(text) {
			return text, true
		}
	}
	return "", false
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
		if light-dark < minContrast/2 {
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
