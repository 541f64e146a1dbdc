// Package locate finds where on a picture symbols may be: by finder patterns of
// QR codes, borders of Data Matrix, parallel bars, and areas full of edges.
package locate

import (
	"cmp"
	"context"
	"math"
	"slices"

	"graftslip/codes/scan/internal/pixels"
)

// Finder is the finder pattern of a QR code, the square eye at three of its
// corners: by its middle any straight line crosses dark, light, dark, light,
// dark in the proportions 1:1:3:1:1.
type Finder struct {
	Middle   pixels.Point
	module   float64 // pixels a module, along the rows and columns of the picture
	Inverted bool    // light on dark
	rows     int     // rows of the picture that crossed it
	taken    bool    // it belongs to a symbol that was read
}

// maxFinders bounds the search of a picture that is full of false finders,
// such as noise.
const maxFinders = 2000

// finderSearch looks for finder patterns.
type finderSearch struct {
	g     *pixels.Grey
	t     *pixels.Thresholds
	found []Finder
	last  []int32 // by column of 4 pixels: 1 + index of the last finder there
}

// Finders gives the finder patterns of a picture, both dark on light and
// light on dark.
func Finders(ctx context.Context, v *pixels.Level) []Finder {
	g, t := v.Grey, v.Thresholds()
	s := &finderSearch{g: g, t: t, last: make([]int32, g.Width/4+1)}
	var edges []edge
	for y := 1; y < g.Height; y += 2 {
		if y%64 == 1 && ctx.Err() != nil {
			return nil
		}
		edges = rowEdges(g, t, y, edges[:0])
		for i := 0; i+5 < len(edges); i++ {
			s.row(y, edges[i:i+6])
		}
	}
	if len(s.found) > maxFinders {
		slices.SortStableFunc(s.found, func(a, b Finder) int { return cmp.Compare(b.rows, a.rows) })
		s.found = s.found[:maxFinders]
	}
	return s.found
}

// edge is where a row of the picture goes from light to dark or back.
type edge struct {
	x    float64
	dark bool // dark begins here
}

// rowEdges finds the edges of a row, to parts of a pixel: print of two pixels
// a module has no whole ones. The picture's own edges count too, for a symbol
// that reaches to them.
func rowEdges(g *pixels.Grey, t *pixels.Thresholds, y int, edges []edge) []edge {
	line := g.Pix[y*g.Stride:][:g.Width]
	levels := t.Level[(y>>pixels.BlockPower)*t.Columns:][:t.Columns]
	before := int(line[0]) - int(levels[0])
	edges = append(edges, edge{0, before < 0})
	for column, level := range levels {
		from := column << pixels.BlockPower
		for i, v := range line[from:min(from+pixels.Block, g.Width)] {
			now := int(v) - int(level)
			if now < 0 != (before < 0) {
				part := float64(before) / float64(before-now)
				edges = append(edges, edge{float64(from+i) - 0.5 + part, now < 0})
			}
			before = now
		}
	}
	return append(edges, edge{float64(g.Width), before >= 0})
}

// row looks at five runs between six edges of row y.
func (s *finderSearch) row(y int, edges []edge) {
	var runs [5]float64
	for i := range runs {
		runs[i] = edges[i+1].x - edges[i].x
	}
	if !likeFinder(&runs, 0.6) {
		return
	}
	middle := pixels.Pt((edges[2].x+edges[3].x)/2, float64(y)+0.5)
	inverted := !edges[0].dark
	if i := s.last[int(middle.X)/4]; i > 0 {
		f := &s.found[i-1]
		if f.Inverted == inverted && math.Abs(middle.Y-f.Middle.Y) < 1.6*f.module && math.Abs(middle.X-f.Middle.X) < 1.6*f.module {
			f.rows++
			return
		}
	}
	total := edges[5].x - edges[0].x
	f, ok := s.confirm(middle, total, inverted)
	if !ok {
		return
	}
	s.found = append(s.found, f)
	reach := 1.5 * f.module
	for x := max(int(f.Middle.X-reach), 0) / 4; x <= min(int(f.Middle.X+reach)/4, len(s.last)-1); x++ {
		s.last[x] = int32(len(s.found))
	}
}

// likeFinder reports whether five runs are in the proportions of a finder
// pattern; each may be off by slack modules, the middle one by two and a half
// times that.
func likeFinder(runs *[5]float64, slack float64) bool {
	total := runs[0] + runs[1] + runs[2] + runs[3] + runs[4]
	module := total / 7
	slack *= module
	return module > 1 &&
		math.Abs(runs[0]-module) < slack && math.Abs(runs[1]-module) < slack &&
		math.Abs(runs[2]-3*module) < 2.5*slack &&
		math.Abs(runs[3]-module) < slack && math.Abs(runs[4]-module) < slack
}

// confirm looks at a place across, down and along both diagonals.
func (s *finderSearch) confirm(middle pixels.Point, width float64, inverted bool) (Finder, bool) {
	level := s.t.At(middle)
	limit := int(width)
	down, shift, ok := s.cross(middle, pixels.Pt(0, 1), limit, level, inverted, 0.6)
	if !ok || down > 1.5*width || width > 1.5*down {
		return Finder{}, false
	}
	middle.Y += shift
	across, shift, ok := s.cross(middle, pixels.Pt(1, 0), limit, level, inverted, 0.6)
	if !ok {
		return Finder{}, false
	}
	middle.X += shift
	for _, diagonal := range []pixels.Point{pixels.Pt(1, 1), pixels.Pt(1, -1)} {
		if _, _, ok := s.cross(middle, diagonal, limit, level, inverted, 0.8); !ok {
			return Finder{}, false
		}
	}
	return Finder{Middle: middle, module: (down + across) / 14, Inverted: inverted, rows: 1}, true
}

// cross measures the five runs along a line through the middle. It gives their
// sum and how far their middle lies from the given one, in steps.
func (s *finderSearch) cross(middle, step pixels.Point, limit int, level float64, inverted bool, slack float64) (total, shift float64, ok bool) {
	var ahead, behind [3]float64
	if !s.ray(middle, step, limit, level, inverted, &ahead) || !s.ray(middle, step.Mul(-1), limit, level, inverted, &behind) {
		return 0, 0, false
	}
	runs := [5]float64{behind[2] - behind[1], behind[1] - behind[0], behind[0] + ahead[0], ahead[1] - ahead[0], ahead[2] - ahead[1]}
	shift = (ahead[0] - behind[0] + ahead[2] - behind[2]) / 4
	return ahead[2] + behind[2], shift, likeFinder(&runs, slack)
}

// ray goes from a dark place (light, when inverted) to the third edge, at most
// limit steps, and notes the steps to each.
func (s *finderSearch) ray(from, step pixels.Point, limit int, level float64, inverted bool, edges *[3]float64) bool {
	sign := 1.0
	if inverted {
		sign = -1
	}
	before := sign * (s.g.At(from) - level)
	if before >= 0 {
		return false
	}
	n := 0
	for i := 1; i <= limit; i++ {
		p := from.Add(step.Mul(float64(i)))
		if !s.g.Inside(p) {
			// A symbol that touches the picture's edge ends there.
			if n == 2 {
				edges[2] = float64(i) - 0.5
				return true
			}
			return false
		}
		now := sign * (s.g.At(p) - level)
		if now < 0 != (before < 0) {
			edges[n] = float64(i) - 1 + before/(before-now)
			if n++; n == len(edges) {
				return true
			}
		}
		before = now
	}
	return false
}

const (
	qrNeighbours = 24  // finders that are tried as partners of one
	qrMaxModules = 177 // a side, of version 40
)

// Triple is three finders that may belong to one QR code.
type Triple struct {
	Corner, Right, Below *Finder
	Side                 int // modules a side
	misfit               float64
}

// Free reports whether none of the finders belongs to a symbol yet.
func (t *Triple) Free() bool { return !t.Corner.taken && !t.Right.taken && !t.Below.taken }

// Take makes the finders those of one symbol.
func (t *Triple) Take() { t.Corner.taken, t.Right.taken, t.Below.taken = true, true, true }

// tripleLimits say which three finders may belong together.
type tripleLimits struct {
	size float64 // the larger finder's module in those of the smaller
	arms float64 // the longer arm in those of the shorter
	skew float64 // cosine of the angle between them
	off  float64 // from a whole version, as a share of the side
}

// Strict are the limits for a symbol that is seen from the front.
func Strict() tripleLimits { return tripleLimits{1.5, 1.35, 0.3, 0.15} }

// Loose are those for a tilt of 45°, which makes arms shorter by up to 0.7.
func Loose() tripleLimits { return tripleLimits{1.9, 1.7, 0.5, 0.22} }

// appendTriple judges three finders: the arms from the corner must be of one
// length, at a right angle, and a whole number of modules that a version has.
func (l tripleLimits) appendTriple(result []Triple, a, b, c *Finder) []Triple {
	u, v := b.Middle.Sub(a.Middle), c.Middle.Sub(a.Middle)
	lu, lv := u.Length(), v.Length()
	if u.Cross(v) <= 0 || lu > l.arms*lv || lv > l.arms*lu {
		return result
	}
	skew := math.Abs(u.Dot(v)) / (lu * lv)
	if skew > l.skew {
		return result
	}
	// A square that is turned is wider along the rows than along its side.
	turn := max(math.Abs(u.X), math.Abs(u.Y)) / lu
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
		result = append(result, Triple{a, b, c, 17 + 4*int(v), misfit})
	}
	return result
}

// Triples gives the triples within limits, the likeliest first.
func Triples(ctx context.Context, all []Finder, limits tripleLimits) []Triple {
	var result []Triple
	near := make([]int, 0, len(all))
	for i, corner := range all {
		if i%64 == 0 && ctx.Err() != nil {
			return nil
		}
		near = near[:0]
		for j, other := range all {
			distance := other.Middle.Distance(corner.Middle)
			if j != i && other.Inverted == corner.Inverted &&
				other.module < limits.size*corner.module && corner.module < limits.size*other.module &&
				distance > 7*corner.module && distance < 1.2*qrMaxModules*corner.module {
				near = append(near, j)
			}
		}
		slices.SortStableFunc(near, func(a, b int) int {
			return cmp.Compare(all[a].Middle.Distance(corner.Middle), all[b].Middle.Distance(corner.Middle))
		})
		near = near[:min(len(near), qrNeighbours)]
		for _, b := range near {
			for _, c := range near {
				result = limits.appendTriple(result, &all[i], &all[b], &all[c])
			}
		}
	}
	slices.SortStableFunc(result, func(a, b Triple) int { return cmp.Compare(a.misfit, b.misfit) })
	return result
}
