package scan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// finder is the finder pattern of a QR code, the square eye at three of its
// corners: by its middle any straight line crosses dark, light, dark, light,
// dark in the proportions 1:1:3:1:1.
type finder struct {
	middle   point
	module   float64 // pixels a module, along the rows and columns of the picture
	inverted bool    // light on dark
	rows     int     // rows of the picture that crossed it
}

// maxFinders bounds the search of a picture that is full of false finders,
// such as noise.
const maxFinders = 2000

// finderSearch looks for finder patterns.
type finderSearch struct {
	g     *grey
	t     *thresholds
	found []finder
	last  []int32 // by column of 4 pixels: 1 + index of the last finder there
}

// finders gives the finder patterns of a picture, both dark on light and
// light on dark.
func finders(ctx context.Context, g *grey, t *thresholds) []finder {
	s := &finderSearch{g: g, t: t, last: make([]int32, g.width/4+1)}
	var edges []edge
	for y := 1; y < g.height; y += 2 {
		if y%64 == 1 && ctx.Err() != nil {
			return nil
		}
		edges = rowEdges(g, t, y, edges[:0])
		for i := 0; i+5 < len(edges); i++ {
			s.row(y, edges[i:i+6])
		}
	}
	if len(s.found) > maxFinders {
		slices.SortStableFunc(s.found, func(a, b finder) int { return cmp.Compare(b.rows, a.rows) })
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
func rowEdges(g *grey, t *thresholds, y int, edges []edge) []edge {
	line := g.pix[y*g.stride:][:g.width]
	levels := t.level[(y>>blockPower)*t.columns:][:t.columns]
	before := int(line[0]) - int(levels[0])
	edges = append(edges, edge{0, before < 0})
	for column, level := range levels {
		from := column << blockPower
		for i, v := range line[from:min(from+block, g.width)] {
			now := int(v) - int(level)
			if now < 0 != (before < 0) {
				part := float64(before) / float64(before-now)
				edges = append(edges, edge{float64(from+i) - 0.5 + part, now < 0})
			}
			before = now
		}
	}
	return append(edges, edge{float64(g.width), before >= 0})
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
	middle := point{(edges[2].x + edges[3].x) / 2, float64(y) + 0.5}
	inverted := !edges[0].dark
	if i := s.last[int(middle.x)/4]; i > 0 {
		f := &s.found[i-1]
		if f.inverted == inverted && math.Abs(middle.y-f.middle.y) < 1.6*f.module && math.Abs(middle.x-f.middle.x) < 1.6*f.module {
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
	for x := max(int(f.middle.x-reach), 0) / 4; x <= min(int(f.middle.x+reach)/4, len(s.last)-1); x++ {
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
func (s *finderSearch) confirm(middle point, width float64, inverted bool) (finder, bool) {
	level := s.t.at(middle)
	limit := int(width)
	down, shift, ok := s.cross(middle, point{0, 1}, limit, level, inverted, 0.6)
	if !ok || down > 1.5*width || width > 1.5*down {
		return finder{}, false
	}
	middle.y += shift
	across, shift, ok := s.cross(middle, point{1, 0}, limit, level, inverted, 0.6)
	if !ok {
		return finder{}, false
	}
	middle.x += shift
	for _, diagonal := range []point{{1, 1}, {1, -1}} {
		if _, _, ok := s.cross(middle, diagonal, limit, level, inverted, 0.8); !ok {
			return finder{}, false
		}
	}
	return finder{middle: middle, module: (down + across) / 14, inverted: inverted, rows: 1}, true
}

// cross measures the five runs along a line through the middle. It gives their
// sum and how far their middle lies from the given one, in steps.
func (s *finderSearch) cross(middle, step point, limit int, level float64, inverted bool, slack float64) (total, shift float64, ok bool) {
	var ahead, behind [3]float64
	if !s.ray(middle, step, limit, level, inverted, &ahead) || !s.ray(middle, step.mul(-1), limit, level, inverted, &behind) {
		return 0, 0, false
	}
	runs := [5]float64{behind[2] - behind[1], behind[1] - behind[0], behind[0] + ahead[0], ahead[1] - ahead[0], ahead[2] - ahead[1]}
	shift = (ahead[0] - behind[0] + ahead[2] - behind[2]) / 4
	return ahead[2] + behind[2], shift, likeFinder(&runs, slack)
}

// ray goes from a dark place (light, when inverted) to the third edge, at most
// limit steps, and notes the steps to each.
func (s *finderSearch) ray(from, step point, limit int, level float64, inverted bool, edges *[3]float64) bool {
	sign := 1.0
	if inverted {
		sign = -1
	}
	before := sign * (s.g.at(from) - level)
	if before >= 0 {
		return false
	}
	n := 0
	for i := 1; i <= limit; i++ {
		p := from.add(step.mul(float64(i)))
		if !s.g.inside(p) {
			// A symbol that touches the picture's edge ends there.
			if n == 2 {
				edges[2] = float64(i) - 0.5
				return true
			}
			return false
		}
		now := sign * (s.g.at(p) - level)
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
