package scan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

const (
	cellPower = 2 // of the cells in which busyness is kept: 4 pixels a side
	cell      = 1 << cellPower

	busyLeast  = 0.1 // mean busyness of a square
	busyAround = 0.7 // of it, that what is around may have
	busyMost   = 120 // squares that are looked at in one picture
)

// busySizes are the sides, in cells, of the squares that are looked for: of 14
// to 21 modules of 2 to 4 pixels, and halfway to the next level.
func busySizes() []int { return []int{7, 8, 9, 10, 12, 14, 16, 18, 20, 23} }

// square is an area full of edges that is quiet around.
type square struct {
	middle point
	side   float64 // about, pixels
	score  float64
}

// busyness tells for each cell how much light and dark change in it, as a share
// of the contrast around: the sums of all cells above and left of each corner.
type busyness struct {
	columns, rows int
	sums          []float32
}

func newBusyness(ctx context.Context, v *level) *busyness {
	g, t := v.grey, v.thresholds()
	b := &busyness{columns: g.width >> cellPower, rows: g.height >> cellPower}
	b.sums = make([]float32, (b.columns+1)*(b.rows+1))
	span := t.spread(t.spread(t.spread(t.span, maximum), maximum), maximum)
	for row := range b.rows {
		if row%64 == 0 && ctx.Err() != nil {
			break
		}
		left := float32(0)
		for column := range b.columns {
			i := (row<<cellPower>>blockPower)*t.columns + column<<cellPower>>blockPower
			left += float32(cellChange(g, column, row)) / (cell * cell * max(float32(span[i]), minContrast))
			b.sums[(row+1)*(b.columns+1)+column+1] = b.sums[row*(b.columns+1)+column+1] + left
		}
	}
	return b
}

// cellChange sums up the differences between neighbours in a cell.
func cellChange(g *grey, column, row int) int {
	left, top := max(column<<cellPower, 1), max(row<<cellPower, 1)
	sum := 0
	for y := top; y < min((row+1)<<cellPower, g.height-1); y++ {
		i := y*g.stride + left
		width := min((column+1)<<cellPower, g.width-1) - left
		line, above, below := g.pix[i-1:][:width+2], g.pix[i-g.stride:][:width], g.pix[i+g.stride:][:width]
		for x := range width {
			dx, dy := int(line[x+2])-int(line[x]), int(below[x])-int(above[x])
			sum += max(dx, -dx) + max(dy, -dy)
		}
	}
	return sum
}

// mean is that of a box of cells, cut to the picture.
func (b *busyness) mean(left, top, right, bottom int) float64 {
	left, top, right, bottom = max(left, 0), max(top, 0), min(right, b.columns), min(bottom, b.rows)
	w := b.columns + 1
	sum := b.sums[bottom*w+right] - b.sums[top*w+right] - b.sums[bottom*w+left] + b.sums[top*w+left]
	return float64(sum) / float64(max((right-left)*(bottom-top), 1))
}

// squares gives the areas that may be a square symbol, the likeliest first.
func (b *busyness) squares(ctx context.Context) []square {
	var all []square
	for _, size := range busySizes() {
		step := max(size/6, 1)
		for top := -1; top+size <= b.rows+1; top += step {
			if ctx.Err() != nil {
				return nil
			}
			for left := -1; left+size <= b.columns+1; left += step {
				inside := b.mean(left+1, top+1, left+size-1, top+size-1)
				if inside < busyLeast {
					continue
				}
				around := b.ring(left-1, top-1, size+2)
				if around > busyAround*inside {
					continue
				}
				all = append(all, square{point{float64(left*2+size) * cell / 2, float64(top*2+size) * cell / 2}, float64(size * cell), (inside - around) * math.Sqrt(float64(size))})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b square) int { return cmp.Compare(b.score, a.score) })
	var kept []square
	for i, s := range all {
		if i%256 == 0 && ctx.Err() != nil {
			return nil
		}
		near := func(k square) bool {
			return k.middle.distance(s.middle) < 0.3*k.side && s.side < 1.5*k.side && k.side < 1.5*s.side
		}
		if !slices.ContainsFunc(kept, near) {
			if kept = append(kept, s); len(kept) == busyMost {
				break
			}
		}
	}
	return kept
}

// ring is the mean of the cells at the edge of a square.
func (b *busyness) ring(left, top, size int) float64 {
	whole, inner := float64(size*size), float64((size-2)*(size-2))
	return (b.mean(left, top, left+size, top+size)*whole - b.mean(left+1, top+1, left+size-1, top+size-1)*inner) / (whole - inner)
}

// direction gives the direction of the edges in a square, which cross at right
// angles: of length one, within 45° of the rows. order is the share of the
// edges that have it, 0 for chance.
func (s square) direction(g *grey) (across point, order float64) {
	// The fourth power of a gradient has the same angle for all four sides.
	var fourth point
	total := 0.0
	reach := int(0.55 * s.side)
	for y := max(int(s.middle.y)-reach, 1); y < min(int(s.middle.y)+reach, g.height-1); y++ {
		for x := max(int(s.middle.x)-reach, 1); x < min(int(s.middle.x)+reach, g.width-1); x++ {
			i := y*g.stride + x
			dx, dy := float64(g.pix[i+1])-float64(g.pix[i-1]), float64(g.pix[i+g.stride])-float64(g.pix[i-g.stride])
			squared := dx*dx + dy*dy
			if squared == 0 {
				continue
			}
			total += squared
			re, im := dx*dx-dy*dy, 2*dx*dy
			fourth.x += (re*re - im*im) / squared
			fourth.y += 2 * re * im / squared
		}
	}
	angle := math.Atan2(fourth.y, fourth.x) / 4
	return point{math.Cos(angle), math.Sin(angle)}, fourth.length() / max(total, 1)
}

// corners are those of the square's contents, whose edges go across or down:
// from its middle outwards it goes on until it is quiet.
func (s square) corners(g *grey, across point) [4]point {
	down := point{-across.y, across.x}
	reach := s.side * 0.85
	left, right := s.extent(g, across, down, -0.35*s.side, 0.35*s.side, reach)
	top, bottom := s.extent(g, down, across, left*0.8, right*0.8, reach)
	left, right = s.extent(g, across, down, top*0.8, bottom*0.8, reach)
	at := func(u, v float64) point { return s.middle.add(across.mul(u)).add(down.mul(v)) }
	return [4]point{at(left, top), at(right, top), at(right, bottom), at(left, bottom)}
}

// upright is the square itself, turned so that its sides go across and down,
// and scaled.
func (s square) upright(across point, scale float64) [4]point {
	u := across.mul(scale * s.side / 2)
	v := point{-u.y, u.x}
	return [4]point{s.middle.sub(u).sub(v), s.middle.add(u).sub(v), s.middle.add(u).add(v), s.middle.sub(u).add(v)}
}

// extent finds how far along a direction the contents reach, both ways, where
// they lie between two places along the other direction.
func (s square) extent(g *grey, along, other point, from, to, reach float64) (low, high float64) {
	n := int(2*reach) + 1
	change := make([]float64, n)
	for v := from; v <= to; v += 1.5 {
		for i := range change {
			p := s.middle.add(along.mul(float64(i) - reach)).add(other.mul(v))
			change[i] += math.Abs(g.at(p.add(along))-g.at(p.sub(along))) + math.Abs(g.at(p.add(other))-g.at(p.sub(other)))
		}
	}
	inner := slices.Clone(change[n/2-int(0.3*s.side) : n/2+int(0.3*s.side)])
	slices.Sort(inner)
	enough := 0.45 * inner[len(inner)/2]
	gap := max(int(s.side/14), 2)
	edge := func(step int) float64 {
		last := n / 2
		for i := n / 2; i >= 0 && i < n; i += step {
			if change[i] >= enough {
				last = i
			} else if (i-last)*step > gap {
				break
			}
		}
		return float64(last+step) - reach
	}
	return edge(-1), edge(1)
}
