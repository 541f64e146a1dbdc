package scan

import (
	"context"
	"math"
	"slices"
)

const (
	// A Code 128 of one character is 46 modules wide.
	barsLeastWidth  = 60   // pixels across the bars
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
func (t tensor) heading() point {
	return point{t.xx - t.yy, 2 * t.xy}.mul(1 / max(t.energy(), 1))
}

// region is an area of parallel bars.
type region struct {
	middle        point
	across, along point   // of length one: across the bars, along them
	width, height float64 // across and along, in pixels
	base          point   // of length one: the way its longer side runs, which is not across where it is seen askew
}

// barBlocks are the blocks of a picture that may lie on parallel bars.
type barBlocks struct {
	columns, rows int
	tensors       []tensor
	bars          []bool
}

func newBarBlocks(ctx context.Context, g *grey) *barBlocks {
	b := &barBlocks{columns: g.width >> blockPower, rows: g.height >> blockPower}
	b.tensors = make([]tensor, b.columns*b.rows)
	b.bars = make([]bool, len(b.tensors))
	for row := range b.rows {
		if row%32 == 0 && ctx.Err() != nil {
			break
		}
		for column := range b.columns {
			i := row*b.columns + column
			b.tensors[i] = blockTensor(g, column, row)
			b.bars[i] = b.tensors[i].energy() > barsLeastEnergy*block*block && b.tensors[i].heading().length() > barsCoherence
		}
	}
	return b
}

// dense leaves out the blocks that have few of their kind around, as in text
// and along edges.
func (b *barBlocks) dense() *barBlocks {
	const enough = 4 // of eight
	d := &barBlocks{b.columns, b.rows, b.tensors, make([]bool, len(b.bars))}
	for row := 1; row < b.rows-1; row++ {
		for column := 1; column < b.columns-1; column++ {
			i := row*b.columns + column
			if !b.bars[i] {
				continue
			}
			count := 0
			for _, j := range [8]int{i - b.columns - 1, i - b.columns, i - b.columns + 1, i - 1, i + 1, i + b.columns - 1, i + b.columns, i + b.columns + 1} {
				if b.bars[j] {
					count++
				}
			}
			d.bars[i] = count >= enough
		}
	}
	return d
}

// regions joins neighbouring blocks of one heading.
func (b *barBlocks) regions() []region {
	columns, rows, blocks, bars := b.columns, b.rows, b.tensors, slices.Clone(b.bars)
	var regions []region
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
				if heading.dot(other) > barsTurn*heading.length()*other.length() {
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
func blockTensor(g *grey, column, row int) tensor {
	var xx, yy, xy int
	left, right := max(column<<blockPower, 1), min((column+1)<<blockPower, g.width-1)
	top, bottom := max(row<<blockPower, 1), min((row+1)<<blockPower, g.height-1)
	for y := top; y < bottom; y++ {
		i := y*g.stride + left
		width := right - left
		line := g.pix[i-1:][:width+2]
		above, below := g.pix[i-g.stride:][:width], g.pix[i+g.stride:][:width]
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
func newRegion(blocks []tensor, columns int, members []int) (region, bool) {
	if len(members)*block*block < barsLeastWidth*barsLeastHeight/2 {
		return region{}, false
	}
	var sum tensor
	for _, i := range members {
		sum.xx += blocks[i].xx
		sum.yy += blocks[i].yy
		sum.xy += blocks[i].xy
	}
	angle := math.Atan2(2*sum.xy, sum.xx-sum.yy) / 2
	across := point{math.Cos(angle), math.Sin(angle)}
	along := point{-across.y, across.x}
	places := make([]point, len(members))
	for n, i := range members {
		p := point{(float64(i%columns) + 0.5) * block, (float64(i/columns) + 0.5) * block}
		places[n] = point{p.dot(across), p.dot(along)}
	}
	// Seen askew, the bars lean: the longer side does not run across them.
	slope := lean(places)
	for n := range places {
		places[n].y -= slope * places[n].x
	}
	// Text may have grown on to the bars: leave off what is much thinner.
	bottom, top := bulk(places, func(p point) float64 { return p.y })
	places = slices.DeleteFunc(places, func(p point) bool { return p.y < bottom || p.y > top })
	left, right := bulk(places, func(p point) float64 { return p.x })
	places = slices.DeleteFunc(places, func(p point) bool { return p.x < left || p.x > right })

	r := region{across: across, along: along, width: right - left, height: top - bottom}
	u := (left + right) / 2
	r.middle = across.mul(u).add(along.mul((bottom+top)/2 + slope*u))
	r.base = across.add(along.mul(slope)).mul(1 / math.Hypot(1, slope))
	fill := float64(len(places)*block*block) / (r.width * r.height)
	return r, r.width >= barsLeastWidth && r.height >= barsLeastHeight && fill >= barsLeastFill
}

// lean is how much places rise along with each step across, where they lie in
// a long strip; else 0.
func lean(places []point) float64 {
	var middle point
	for _, p := range places {
		middle = middle.add(p.mul(1 / float64(len(places))))
	}
	var xx, xy, yy float64
	for _, p := range places {
		d := p.sub(middle)
		xx += d.x * d.x
		xy += d.x * d.y
		yy += d.y * d.y
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
func bulk(places []point, of func(point) float64) (from, to float64) {
	least := of(places[0])
	for _, p := range places {
		least = min(least, of(p))
	}
	var counts []int
	for _, p := range places {
		slice := int((of(p) - least) / block)
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
		if slice := int((of(p) - least) / block); slice >= first && slice <= last {
			from, to = min(from, of(p)), max(to, of(p))
		}
	}
	return from - block/2, to + block/2
}
