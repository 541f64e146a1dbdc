package locate

import (
	"cmp"
	"context"
	"math"
	"slices"

	"graftslip/codes/scan/internal/pixels"
)

const (
	cellPower = 2 // of the cells in which busyness is kept: 4 pixels a side
	cell      = 1 << cellPower

	leastDensity = 0.1 // mean busyness of a square
	mostAround   = 0.7 // of it, that what is around may have
	mostSquares  = 120 // squares that are looked at in one picture
)

// squareSizes are the sides, in cells, of the squares that are looked for: of 14
// to 21 modules of 2 to 4 pixels, and halfway to the next level.
func squareSizes() []int { return []int{7, 8, 9, 10, 12, 14, 16, 18, 20, 23} }

// Square is an area full of edges that is quiet around.
type Square struct {
	Middle pixels.Point
	Side   float64 // about, pixels
	Score  float64
}

// edgeDensity tells for each cell how much light and dark change in it, as a share
// of the contrast around: the sums of all cells above and left of each corner.
type edgeDensity struct {
	columns, rows int
	sums          []float32
}

func NewEdgeDensity(ctx context.Context, v *pixels.Level) *edgeDensity {
	g, t := v.Grey, v.Thresholds()
	b := &edgeDensity{columns: g.Width >> cellPower, rows: g.Height >> cellPower}
	b.sums = make([]float32, (b.columns+1)*(b.rows+1))
	span := t.Spread(t.Spread(t.Spread(t.Span, pixels.Maximum), pixels.Maximum), pixels.Maximum)
	for row := range b.rows {
		if row%64 == 0 && ctx.Err() != nil {
			break
		}
		left := float32(0)
		for column := range b.columns {
			i := (row<<cellPower>>pixels.BlockPower)*t.Columns + column<<cellPower>>pixels.BlockPower
			left += float32(cellChange(g, column, row)) / (cell * cell * max(float32(span[i]), pixels.MinContrast))
			b.sums[(row+1)*(b.columns+1)+column+1] = b.sums[row*(b.columns+1)+column+1] + left
		}
	}
	return b
}

// cellChange sums up the differences between neighbours in a cell.
func cellChange(g *pixels.Grey, column, row int) int {
	left, top := max(column<<cellPower, 1), max(row<<cellPower, 1)
	sum := 0
	for y := top; y < min((row+1)<<cellPower, g.Height-1); y++ {
		i := y*g.Stride + left
		width := min((column+1)<<cellPower, g.Width-1) - left
		line, above, below := g.Pix[i-1:][:width+2], g.Pix[i-g.Stride:][:width], g.Pix[i+g.Stride:][:width]
		for x := range width {
			dx, dy := int(line[x+2])-int(line[x]), int(below[x])-int(above[x])
			sum += max(dx, -dx) + max(dy, -dy)
		}
	}
	return sum
}

// mean is that of a box of cells, cut to the picture.
func (b *edgeDensity) mean(left, top, right, bottom int) float64 {
	left, top, right, bottom = max(left, 0), max(top, 0), min(right, b.columns), min(bottom, b.rows)
	w := b.columns + 1
	sum := b.sums[bottom*w+right] - b.sums[top*w+right] - b.sums[bottom*w+left] + b.sums[top*w+left]
	return float64(sum) / float64(max((right-left)*(bottom-top), 1))
}

// Squares gives the areas that may be a square symbol, the likeliest first.
func (b *edgeDensity) Squares(ctx context.Context) []Square {
	var all []Square
	for _, size := range squareSizes() {
		step := max(size/6, 1)
		for top := -1; top+size <= b.rows+1; top += step {
			if ctx.Err() != nil {
				return nil
			}
			for left := -1; left+size <= b.columns+1; left += step {
				inside := b.mean(left+1, top+1, left+size-1, top+size-1)
				if inside < leastDensity {
					continue
				}
				around := b.ring(left-1, top-1, size+2)
				if around > mostAround*inside {
					continue
				}
				middle := pixels.Pt(float64(left*2+size)*cell/2, float64(top*2+size)*cell/2)
				score := (inside - around) * math.Sqrt(float64(size))
				all = append(all, Square{middle, float64(size * cell), score})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Square) int { return cmp.Compare(b.Score, a.Score) })
	var kept []Square
	for i, s := range all {
		if i%256 == 0 && ctx.Err() != nil {
			return nil
		}
		near := func(k Square) bool {
			return k.Middle.Distance(s.Middle) < 0.3*k.Side && s.Side < 1.5*k.Side && k.Side < 1.5*s.Side
		}
		if !slices.ContainsFunc(kept, near) {
			if kept = append(kept, s); len(kept) == mostSquares {
				break
			}
		}
	}
	return kept
}

// ring is the mean of the cells at the edge of a square.
func (b *edgeDensity) ring(left, top, size int) float64 {
	whole, inner := float64(size*size), float64((size-2)*(size-2))
	return (b.mean(left, top, left+size, top+size)*whole -
		b.mean(left+1, top+1, left+size-1, top+size-1)*inner) / (whole - inner)
}

// Direction gives the direction of the edges in a square, which cross at right
// angles: of length one, within 45° of the rows. order is the share of the
// edges that have it, 0 for chance.
func (s Square) Direction(g *pixels.Grey) (across pixels.Point, order float64) {
	// The fourth power of a gradient has the same angle for all four sides.
	var fourth pixels.Point
	total := 0.0
	reach := int(0.55 * s.Side)
	for y := max(int(s.Middle.Y)-reach, 1); y < min(int(s.Middle.Y)+reach, g.Height-1); y++ {
		for x := max(int(s.Middle.X)-reach, 1); x < min(int(s.Middle.X)+reach, g.Width-1); x++ {
			i := y*g.Stride + x
			dx, dy := float64(g.Pix[i+1])-float64(g.Pix[i-1]), float64(g.Pix[i+g.Stride])-float64(g.Pix[i-g.Stride])
			squared := dx*dx + dy*dy
			if squared == 0 {
				continue
			}
			total += squared
			re, im := dx*dx-dy*dy, 2*dx*dy
			fourth.X += (re*re - im*im) / squared
			fourth.Y += 2 * re * im / squared
		}
	}
	angle := math.Atan2(fourth.Y, fourth.X) / 4
	return pixels.Pt(math.Cos(angle), math.Sin(angle)), fourth.Length() / max(total, 1)
}

// Corners are those of the square's contents, whose edges go across or down:
// from its middle outwards it goes on until it is quiet.
func (s Square) Corners(g *pixels.Grey, across pixels.Point) [4]pixels.Point {
	down := pixels.Pt(-across.Y, across.X)
	reach := s.Side * 0.85
	left, right := s.extent(g, across, down, -0.35*s.Side, 0.35*s.Side, reach)
	top, bottom := s.extent(g, down, across, left*0.8, right*0.8, reach)
	left, right = s.extent(g, across, down, top*0.8, bottom*0.8, reach)
	at := func(u, v float64) pixels.Point { return s.Middle.Add(across.Mul(u)).Add(down.Mul(v)) }
	return [4]pixels.Point{at(left, top), at(right, top), at(right, bottom), at(left, bottom)}
}

// Upright is the square itself, turned so that its sides go across and down,
// and scaled.
func (s Square) Upright(across pixels.Point, scale float64) [4]pixels.Point {
	u := across.Mul(scale * s.Side / 2)
	v := pixels.Pt(-u.Y, u.X)
	return [4]pixels.Point{s.Middle.Sub(u).Sub(v), s.Middle.Add(u).Sub(v), s.Middle.Add(u).Add(v), s.Middle.Sub(u).Add(v)}
}

// extent finds how far along a direction the contents reach, both ways, where
// they lie between two places along the other direction.
func (s Square) extent(g *pixels.Grey, along, other pixels.Point, from, to, reach float64) (low, high float64) {
	n := int(2*reach) + 1
	change := make([]float64, n)
	for v := from; v <= to; v += 1.5 {
		for i := range change {
			p := s.Middle.Add(along.Mul(float64(i) - reach)).Add(other.Mul(v))
			change[i] += math.Abs(g.At(p.Add(along))-g.At(p.Sub(along))) + math.Abs(g.At(p.Add(other))-g.At(p.Sub(other)))
		}
	}
	inner := slices.Clone(change[n/2-int(0.3*s.Side) : n/2+int(0.3*s.Side)])
	slices.Sort(inner)
	enough := 0.45 * inner[len(inner)/2]
	gap := max(int(s.Side/14), 2)
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
