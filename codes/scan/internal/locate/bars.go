package locate

import (
	"cmp"
	"context"
	"math"
	"slices"

	"graftslip/codes/scan/internal/pixels"
)

const (
	// A Code 128 of one character is 46 modules wide.
	BarsLeastWidth  = 60   // pixels across the bars
	barsLeastHeight = 10   // pixels along them
	barsLeastFill   = 0.4  // of the region's box by blocks of bars
	barsLeastEnergy = 100  // mean square of the gradients
	barsCoherence   = 0.7  // share of the gradients that have one direction
	barsThin        = 0.4  // of the bars' full extent: less is something else
	barsTurn        = 0.91 // cosine of twice the angle between neighbouring blocks
)

// tensor sums up the gradients of an area: xx, yy of their squares along rows
// and columns, xy of the product.
type tensor struct{ xx, yy, xy float64 }

func (t tensor) energy() float64 { return t.xx + t.yy }

// heading is twice the angle of the gradients as a vector of the length 0
// (no direction) to 1 (one direction).
func (t tensor) heading() pixels.Point {
	return pixels.Pt(t.xx-t.yy, 2*t.xy).Mul(1 / max(t.energy(), 1))
}

// BarRegion is an area of parallel bars.
type BarRegion struct {
	Middle        pixels.Point
	Across, Along pixels.Point // of length one: across the bars, along them
	Width, Height float64      // across and along, in pixels
	Base          pixels.Point // of length one: the way its longer side runs, which is not across where it is seen askew
}

// barBlocks are the blocks of a picture that may lie on parallel bars.
type barBlocks struct {
	columns, rows int
	tensors       []tensor
	bars          []bool
}

func NewBarBlocks(ctx context.Context, g *pixels.Grey) *barBlocks {
	b := &barBlocks{columns: g.Width >> pixels.BlockPower, rows: g.Height >> pixels.BlockPower}
	b.tensors = make([]tensor, b.columns*b.rows)
	b.bars = make([]bool, len(b.tensors))
	for row := range b.rows {
		if row%32 == 0 && ctx.Err() != nil {
			break
		}
		for column := range b.columns {
			i := row*b.columns + column
			b.tensors[i] = blockTensor(g, column, row)
			t := &b.tensors[i]
			b.bars[i] = t.energy() > barsLeastEnergy*pixels.Block*pixels.Block && t.heading().Length() > barsCoherence
		}
	}
	return b
}

// Dense leaves out the blocks that have few of their kind around, as in text
// and along edges.
func (b *barBlocks) Dense() *barBlocks {
	const enough = 4 // of eight
	d := &barBlocks{b.columns, b.rows, b.tensors, make([]bool, len(b.bars))}
	for row := 1; row < b.rows-1; row++ {
		for column := 1; column < b.columns-1; column++ {
			i := row*b.columns + column
			if !b.bars[i] {
				continue
			}
			count := 0
			for above := i - b.columns; above <= i+b.columns; above += b.columns {
				for j := above - 1; j <= above+1; j++ {
					if j != i && b.bars[j] {
						count++
					}
				}
			}
			d.bars[i] = count >= enough
		}
	}
	return d
}

// Regions joins neighbouring blocks of one heading.
func (b *barBlocks) Regions() []BarRegion {
	columns, rows, blocks, bars := b.columns, b.rows, b.tensors, slices.Clone(b.bars)
	var regions []BarRegion
	var members []int
	for start := range blocks {
		if !bars[start] {
			continue
		}
		bars[start] = false
		members = append(members[:0], start)
		for next := 0; next < len(members); next++ {
			i := members[next]
			heading := blocks[i].heading()
			row, column := i/columns, i%columns
			// Bars and spaces may be wider than a block: reach over one.
			for _, step := range [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-2, 0}, {2, 0}, {0, -2}, {0, 2}} {
				x, y := column+step[0], row+step[1]
				if x < 0 || x >= columns || y < 0 || y >= rows || !bars[y*columns+x] {
					continue
				}
				other := blocks[y*columns+x].heading()
				if heading.Dot(other) > barsTurn*heading.Length()*other.Length() {
					bars[y*columns+x] = false
					members = append(members, y*columns+x)
				}
			}
		}
		if r, ok := newRegion(blocks, columns, members); ok {
			regions = append(regions, r)
		}
	}
	return regions
}

// blockTensor sums up the gradients of one block.
func blockTensor(g *pixels.Grey, column, row int) tensor {
	var xx, yy, xy int
	left, right := max(column<<pixels.BlockPower, 1), min((column+1)<<pixels.BlockPower, g.Width-1)
	top, bottom := max(row<<pixels.BlockPower, 1), min((row+1)<<pixels.BlockPower, g.Height-1)
	for y := top; y < bottom; y++ {
		i := y*g.Stride + left
		width := right - left
		line := g.Pix[i-1:][:width+2]
		above, below := g.Pix[i-g.Stride:][:width], g.Pix[i+g.Stride:][:width]
		for x := range width {
			dx := int(line[x+2]) - int(line[x])
			dy := int(below[x]) - int(above[x])
			xx += dx * dx
			yy += dy * dy
			xy += dx * dy
		}
	}
	return tensor{float64(xx), float64(yy), float64(xy)}
}

// newRegion measures connected blocks of bars; false: too small or too ragged
// to be a symbol.
func newRegion(blocks []tensor, columns int, members []int) (BarRegion, bool) {
	if len(members)*pixels.Block*pixels.Block < BarsLeastWidth*barsLeastHeight/2 {
		return BarRegion{}, false
	}
	var sum tensor
	for _, i := range members {
		sum.xx += blocks[i].xx
		sum.yy += blocks[i].yy
		sum.xy += blocks[i].xy
	}
	angle := math.Atan2(2*sum.xy, sum.xx-sum.yy) / 2
	across := pixels.Pt(math.Cos(angle), math.Sin(angle))
	along := pixels.Pt(-across.Y, across.X)
	places := make([]pixels.Point, len(members))
	for n, i := range members {
		p := pixels.Pt((float64(i%columns)+0.5)*pixels.Block, (float64(i/columns)+0.5)*pixels.Block)
		places[n] = pixels.Pt(p.Dot(across), p.Dot(along))
	}
	// Seen askew, the bars lean: the longer side does not run across them.
	slope := lean(places)
	for n := range places {
		places[n].Y -= slope * places[n].X
	}
	// Text may have grown on to the bars: leave off what is much thinner.
	bottom, top := bulk(places, func(p pixels.Point) float64 { return p.Y })
	places = slices.DeleteFunc(places, func(p pixels.Point) bool { return p.Y < bottom || p.Y > top })
	left, right := bulk(places, func(p pixels.Point) float64 { return p.X })
	places = slices.DeleteFunc(places, func(p pixels.Point) bool { return p.X < left || p.X > right })

	r := BarRegion{Across: across, Along: along, Width: right - left, Height: top - bottom}
	u := (left + right) / 2
	r.Middle = across.Mul(u).Add(along.Mul((bottom+top)/2 + slope*u))
	r.Base = across.Add(along.Mul(slope)).Mul(1 / math.Hypot(1, slope))
	fill := float64(len(places)*pixels.Block*pixels.Block) / (r.Width * r.Height)
	return r, r.Width >= BarsLeastWidth && r.Height >= barsLeastHeight && fill >= barsLeastFill
}

// lean is how much places rise along with each step across, where they lie in
// a long strip; else 0.
func lean(places []pixels.Point) float64 {
	var middle pixels.Point
	for _, p := range places {
		middle = middle.Add(p.Mul(1 / float64(len(places))))
	}
	var xx, xy, yy float64
	for _, p := range places {
		d := p.Sub(middle)
		xx += d.X * d.X
		xy += d.X * d.Y
		yy += d.Y * d.Y
	}
	angle := math.Atan2(2*xy, xx-yy) / 2
	if xx < 3*yy || math.Abs(angle) > 0.7 {
		return 0
	}
	return math.Tan(angle)
}

// bulk cuts places along one direction into slices of a block's width and gives
// the range from the first to the last that holds at least barsThin of what the
// fullest holds.
func bulk(places []pixels.Point, of func(pixels.Point) float64) (from, to float64) {
	least := of(places[0])
	for _, p := range places {
		least = min(least, of(p))
	}
	var counts []int
	for _, p := range places {
		slice := int((of(p) - least) / pixels.Block)
		for len(counts) <= slice {
			counts = append(counts, 0)
		}
		counts[slice]++
	}
	enough := int(math.Ceil(barsThin * float64(slices.Max(counts))))
	first, last := 0, len(counts)-1
	for counts[first] < enough {
		first++
	}
	for counts[last] < enough {
		last--
	}
	from, to = math.Inf(1), math.Inf(-1)
	for _, p := range places {
		if slice := int((of(p) - least) / pixels.Block); slice >= first && slice <= last {
			from, to = min(from, of(p)), max(to, of(p))
		}
	}
	return from - pixels.Block/2, to + pixels.Block/2
}

// Bridged joins regions that lie on one line with a gap between, which glare or
// dirt may have torn.
func Bridged(ctx context.Context, regions []BarRegion) []BarRegion {
	var joined []BarRegion
	for i := range regions {
		if ctx.Err() != nil {
			break
		}
		for j := range regions {
			a, b := &regions[i], &regions[j]
			way := b.Middle.Sub(a.Middle)
			if i == j || way.Dot(a.Across) < 0 || math.Abs(a.Across.Dot(b.Across)) < 0.97 ||
				max(a.Height, b.Height) > 2*min(a.Height, b.Height) ||
				math.Abs(way.Dot(a.Along)) > 0.4*max(a.Height, b.Height)+0.2*way.Length() {
				continue
			}
			gap := way.Length() - (a.Width+b.Width)/2
			if gap > 0.6*(a.Width+b.Width) || gap < -0.2*(a.Width+b.Width) {
				continue
			}
			r := *a
			r.Width = way.Length() + (a.Width+b.Width)/2
			end := b.Middle.Add(way.Mul(b.Width / 2 / way.Length()))
			r.Middle = a.Middle.Sub(a.Across.Mul(a.Width / 2)).Add(end).Mul(0.5)
			r.Height = max(a.Height, b.Height)
			r.Base = way.Mul(1 / way.Length())
			joined = append(joined, r)
		}
	}
	return joined
}

// Ends gives the places along the base of a region, in pixels from its middle,
// where the first bar may begin and the last may end: edges from light to dark
// near its one end, and from dark to light near the other; and how many there
// are of the former. up is the part of the height, from the middle, at which
// they are looked for.
func (r *BarRegion) Ends(c *pixels.Contrast, up float64, inverted bool) (first, last []float64, edges int) {
	room := max(0.12*r.Width, 24)
	before := 0.0
	var rising, falling []float64
	for at := -r.Width/2 - room; at <= r.Width/2+room; at += 0.5 {
		p := r.Middle.Add(r.Base.Mul(at)).Add(r.Along.Mul(up * r.Height))
		if !c.Inside(p) {
			before = 0
			continue
		}
		sum := 0.0
		for _, line := range []float64{-0.06, -0.03, 0, 0.03, 0.06} {
			sum += c.At(p.Add(r.Along.Mul(line * r.Height)))
		}
		if inverted {
			sum = -sum
		}
		if before > 0 && sum <= 0 {
			rising = append(rising, at-0.5*sum/(sum-before))
		}
		if before < 0 && sum >= 0 {
			falling = append(falling, at-0.5*sum/(sum-before))
		}
		before = sum
	}
	edges = len(rising)
	near := func(edges []float64, end float64) []float64 {
		slices.SortFunc(edges, func(a, b float64) int { return cmp.Compare(math.Abs(a-end), math.Abs(b-end)) })
		return edges[:min(len(edges), barsEnds)]
	}
	return near(rising, -r.Width/2), near(falling, r.Width/2), edges
}

// barsEnds is how many edges at each end may be the first or the last.
const barsEnds = 7
