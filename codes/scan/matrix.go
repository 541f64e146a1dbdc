package scan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// matrixSizes are the sizes of Data Matrix ECC 200, rows by columns (ISO/IEC
// 16022; the larger ones from memory: the decoding library refuses any other).
func matrixSizes() [][2]int {
	sizes := [][2]int{{8, 18}, {8, 32}, {12, 26}, {12, 36}, {16, 36}, {16, 48}}
	for _, side := range []int{10, 12, 14, 16, 18, 20, 22, 24, 26, 32, 36, 40, 44, 48, 52, 64, 72, 80, 88, 96, 104, 120, 132, 144} {
		sizes = append(sizes, [2]int{side, side})
	}
	return sizes
}

const (
	matrixLeastModule = 1.4 // pixels
	matrixLeastSide   = 14  // pixels: ten modules, the smallest symbol
	matrixLeastArm    = 10  // pixels: eight modules
	matrixMostSide    = 1200
	matrixLeastFrame  = 0.25 // of a field that is worth fitting
	matrixLeastTiming = 0.6  // of a fitted field that is worth decoding
)

// border is the solid edge of a Data Matrix: two arms from a corner.
type border struct{ top, corner, right point }

// readMatrices reads the Data Matrix codes of a picture.
func readMatrices(ctx context.Context, g *grey, t *thresholds, accept func(string) bool) []find {
	sizes := matrixSizes()
	var finds []find
	for _, inverted := range []bool{false, true} {
		// A symbol that is turned by 45° fills half of its box with at least
		// its two arms, and a third of its modules.
		limits := pieceLimits{matrixLeastSide, matrixMostSide, 0.12}
		for _, p := range pieces(ctx, g, t, inverted, limits) {
			if ctx.Err() != nil {
				return finds
			}
			for _, b := range borders(g, t, &p, inverted) {
				if f, ok := readMatrix(g, t, b, sizes, inverted, accept); ok {
					finds = append(finds, f)
					break
				}
			}
		}
	}
	return finds
}

// borders finds pairs of straight, solid edges of a piece at a right angle.
func borders(g *grey, t *thresholds, p *piece, inverted bool) []border {
	size := float64(max(p.right-p.left, p.bottom-p.top))
	hull := p.hull(1.2 + 0.01*size)
	type side struct{ from, to point }
	var sides []side
	for i, from := range hull {
		to := hull[(i+1)%len(hull)]
		if from.distance(to) > matrixLeastArm && covered(g, t, from, to, inverted) > 0.8 {
			sides = append(sides, side{from, to})
		}
	}
	// Clockwise round the hull come the bottom, from right to left, and then
	// the left side, from the corner up.
	var result []border
	for i, bottom := range sides {
		for j, left := range sides {
			if i == j {
				continue
			}
			u, v := bottom.from.sub(bottom.to), left.to.sub(left.from)
			lu, lv := u.length(), v.length()
			if u.cross(v) >= 0 || math.Abs(u.dot(v)) > 0.3*lu*lv || lu > 6*lv || lv > 6*lu {
				continue
			}
			corner := crossing(bottom.to, u, left.from, v)
			near := 3 + 0.1*min(lu, lv)
			if corner.distance(bottom.to) > near || corner.distance(left.from) > near {
				continue
			}
			// The two other sides are broken lines. Frames and letters have more.
			opposite := left.to.add(u)
			if covered(g, t, left.to, opposite, inverted) > 0.85 || covered(g, t, opposite, bottom.from, inverted) > 0.85 {
				continue
			}
			result = append(result, border{left.to, corner, bottom.from})
		}
	}
	return result
}

// crossing is where two lines meet that are not parallel.
func crossing(a, u, b, v point) point {
	return a.add(u.mul(b.sub(a).cross(v) / u.cross(v)))
}

// covered is the share of print just inside an edge that goes clockwise round
// a piece.
func covered(g *grey, t *thresholds, from, to point, inverted bool) float64 {
	along := to.sub(from)
	length := along.length()
	along = along.mul(1 / length)
	inward := point{-along.y, along.x}
	inked, count := 0, 0
	for i := 1.0; i < length; i++ {
		p := from.add(along.mul(i)).add(inward)
		if (g.at(p) < t.at(p)) != inverted {
			inked++
		}
		count++
	}
	return float64(inked) / float64(max(count, 1))
}

// readMatrix finds the size of the symbol with this border, fits the field to
// the picture and decodes it.
func readMatrix(g *grey, t *thresholds, b border, sizes [][2]int, inverted bool, accept func(string) bool) (find, bool) {
	width, height := b.right.distance(b.corner), b.top.distance(b.corner)
	type sized struct {
		field *field
		match float64
	}
	var likely []sized
	for _, size := range sizes {
		rows, columns := size[0], size[1]
		across, down := width/float64(columns), height/float64(rows)
		if min(across, down) < matrixLeastModule || across > 1.25*down || down > 1.25*across {
			continue
		}
		f := matrixField(g, b, columns, rows)
		if f.frame(t, inverted) < matrixLeastFrame {
			continue
		}
		f = f.fitted(t, inverted)
		if timing := f.timing(); timing > matrixLeastTiming && !inverted || timing < -matrixLeastTiming && inverted {
			likely = append(likely, sized{f, math.Abs(timing)})
		}
	}
	slices.SortStableFunc(likely, func(a, b sized) int { return cmp.Compare(b.match, a.match) })
	for _, try := range likely {
		if text, ok := try.field.readMatrix(t, inverted, accept); ok {
			return find{text: text, symbol: DataMatrix, module: try.field.module(), corners: try.field.corners()}, true
		}
	}
	return find{}, false
}

// matrixField lays the modules of a Data Matrix inside its border.
func matrixField(g *grey, b border, columns, rows int) *field {
	return &field{g: g, origin: b.top, columns: columns, rows: rows,
		across: b.right.sub(b.corner).mul(1 / float64(columns)),
		down:   b.corner.sub(b.top).mul(1 / float64(rows))}
}

// timing tells how well the broken lines at the top and at the right of a Data
// Matrix are met: their correlation with the dark and light that belongs there,
// from 1 (print dark on light) over 0 (chance) to -1 (light on dark). Blur and
// uneven light leave it high.
func (f *field) timing() float64 {
	top := make([]float64, f.columns)
	for x := range top {
		top[x] = f.g.at(f.place(float64(x)+0.5, 0.5))
	}
	right := make([]float64, f.rows)
	for y := range right {
		right[f.rows-1-y] = f.g.at(f.place(float64(f.columns)-0.5, float64(y)+0.5))
	}
	return (alternation(top) + alternation(right)) / 2
}

// alternation is the correlation of values, of which there is an even number,
// with low, high, low, high …
func alternation(values []float64) float64 {
	sum, squares, signed := 0.0, 0.0, 0.0
	for i, v := range values {
		sum += v
		squares += v * v
		signed += v * float64(i%2*2-1)
	}
	n := float64(len(values))
	return signed / n / max(math.Sqrt(max(squares/n-sum*sum/n/n, 0)), 1)
}

// frame tells how well the whole frame of a Data Matrix is met: the solid
// border, the broken lines and the light around. 1 is full contrast everywhere.
func (f *field) frame(t *thresholds, inverted bool) float64 {
	middle := f.place(float64(f.columns)/2, float64(f.rows)/2)
	level, scale := t.at(middle), 2/max(t.spanAt(middle), minContrast)
	if inverted {
		scale = -scale
	}
	sum := 0.0
	see := func(x, y int, dark bool) {
		value := scale * (level - f.g.at(f.place(float64(x)+0.5, float64(y)+0.5)))
		if !dark {
			value = -value
		}
		sum += min(max(value, -1), 1)
	}
	for x := range f.columns {
		see(x, 0, x%2 == 0)
		see(x, f.rows-1, true)
		see(x, f.rows, false)
		see(x, -1, false)
	}
	for y := range f.rows {
		see(f.columns-1, y, (f.rows-1-y)%2 == 0)
		see(0, y, true)
		see(-1, y, false)
		see(f.columns, y, false)
	}
	return sum / float64(4*f.columns+4*f.rows)
}

// fitted moves the corners of a field, in steps from a third of a module down,
// as long as its frame is met better.
func (f *field) fitted(t *thresholds, inverted bool) *field {
	best, match := *f, f.frame(t, inverted)
	for step := f.module() / 3; step > f.module()/20; step /= 2 {
		for improved, rounds := true, 0; improved && rounds < 4; rounds++ {
			improved = false
			for corner := range 3 {
				for _, shift := range []point{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
					moved := best.moved(corner, shift)
					if m := moved.frame(t, inverted); m > match {
						best, match, improved = moved, m, true
					}
				}
			}
		}
	}
	return &best
}

// moved is the field with its upper left (0), upper right (1) or lower left (2)
// corner elsewhere.
func (f *field) moved(corner int, shift point) field {
	moved := *f
	across, down := shift.mul(1/float64(f.columns)), shift.mul(1/float64(f.rows))
	switch corner {
	case 0:
		moved.origin = f.origin.add(shift)
		moved.across, moved.down = f.across.sub(across), f.down.sub(down)
	case 1:
		moved.across = f.across.add(across)
	case 2:
		moved.down = f.down.add(down)
	}
	return moved
}

// readMatrix reads the modules and decodes them, plain and sharpened, with one
// threshold taken from the frame and, once, with those of the picture.
func (f *field) readMatrix(t *thresholds, inverted bool, accept func(string) bool) (string, bool) {
	plain := f.sample(inverted)
	local := func(x, y int) float64 {
		level := t.at(f.place(float64(x)+0.5, float64(y)+0.5))
		if inverted {
			level = 255 - level
		}
		return level
	}
	if text, ok := decodeMatrix(plain.part(local)); ok && accept(text) {
		return text, true
	}
	for _, sharpen := range []float64{0, 0.5, 1, 1.5} {
		s := plain.sharpened(sharpen)
		level := frameLevel(s)
		if text, ok := decodeMatrix(s.part(func(int, int) float64 { return level })); ok && accept(text) {
			return text, true
		}
	}
	return "", false
}

// frameLevel is half-way between the solid border and the light modules of the
// broken lines.
func frameLevel(s *samples) float64 {
	dark, light := 0.0, 0.0
	for x := range s.columns {
		dark += s.at(x, s.rows-1)
		light += s.at(x, 0) * float64(x%2)
	}
	for y := range s.rows {
		dark += s.at(0, y)
		light += s.at(s.columns-1, y) * float64((s.rows-1-y)%2)
	}
	n := float64(s.columns + s.rows)
	return (dark/n + light/(n/2)) / 2
}
