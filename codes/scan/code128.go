package scan

import (
	"context"
	"math"
	"slices"

	"github.com/makiuchi-d/gozxing"
)

const (
	rowScale      = 4   // elements of a row, as it is handed to the reader, a pixel
	barsEdges     = 20  // least edges of a row that holds a symbol
	barsModule    = 1.4 // least pixels a module: narrower bars are misread
	localReach    = 16  // pixels to both sides in which a local threshold is found
	linesPerBand  = 5
	bandsAgreeing = 2 // bands of a symbol that must be read alike
)

// readBars reads the Code 128 symbols of a picture. A text that accept takes
// must be read alike from two bands of the bars: the check symbol alone lets
// one in a hundred misreadings pass.
func readBars(ctx context.Context, g *grey, _ *thresholds, accept func(string) bool) []find {
	reader := newRowReader()
	var finds []find
	for _, r := range newBarBlocks(ctx, g).regions() {
		if ctx.Err() != nil {
			break
		}
		if f, ok := r.read(g, reader, accept); ok {
			finds = append(finds, f)
		}
	}
	return finds
}

// bandRead is what was read in one band of a region.
type bandRead struct {
	text     string
	module   float64 // pixels
	from, to float64 // of the symbol, in pixels across from the region's middle
	at       float64 // where along the bars it was read, as a part of the region's height
	reversed bool    // it was read from its right to its left
}

// read tries the bands of a region, first just wide enough for the bars and a
// little room, then wider, in case the region is only a part of the symbol.
func (r *region) read(g *grey, reader rowReader, accept func(string) bool) (find, bool) {
	for _, room := range []float64{max(0.15*r.width, 24), max(0.6*r.width, 60)} {
		var reads []bandRead
		for _, at := range []float64{0, 0.2, -0.2, 0.35, -0.35} {
			band, ok := r.readBand(g, reader, at, room)
			if !ok || !accept(band.text) {
				continue
			}
			alike := 1
			for _, other := range reads {
				if other.text == band.text {
					alike++
				}
			}
			if alike >= bandsAgreeing {
				return r.find(g, band), true
			}
			reads = append(reads, band)
		}
	}
	return find{}, false
}

// find is the symbol of a band, as high as its bars are.
func (r *region) find(g *grey, b bandRead) find {
	up, down := r.reach(g, b, -1), r.reach(g, b, 1)
	from, to := r.middle.add(r.across.mul(b.from)), r.middle.add(r.across.mul(b.to))
	f := find{text: b.text, symbol: Code128, module: b.module, corners: [4]point{
		from.add(r.along.mul(up)), to.add(r.along.mul(up)), to.add(r.along.mul(down)), from.add(r.along.mul(down))}}
	if b.reversed {
		f.corners = turnedCorners(f.corners, 2)
	}
	return f
}

// reach is how far along the bars of a band go, up (-1) or down (1) from it, in
// pixels from the region's middle: as long as what is seen across is much the
// same. A region may be higher, where another symbol or text stands below.
func (r *region) reach(g *grey, b bandRead, way float64) float64 {
	const (
		alikeRows = 0.5 // correlation
		gap       = 3   // rows that may be otherwise, as by dirt
	)
	start := b.at * r.height
	row := func(at float64) []float64 {
		values := make([]float64, 0, int(b.to-b.from)+1)
		for x := b.from; x <= b.to; x++ {
			values = append(values, g.at(r.middle.add(r.across.mul(x)).add(r.along.mul(at))))
		}
		return values
	}
	model, last := row(start), start
	for at := start + way; math.Abs(at) <= r.height/2+block && math.Abs(at-last) <= gap; at += way {
		if correlation(model, row(at)) > alikeRows {
			last = at
		}
	}
	return last
}

// correlation of two rows of values of one length, from -1 to 1; 0 where one
// has no differences.
func correlation(a, b []float64) float64 {
	var sumA, sumB, aa, bb, ab float64
	for i := range a {
		sumA, sumB = sumA+a[i], sumB+b[i]
		aa, bb, ab = aa+a[i]*a[i], bb+b[i]*b[i], ab+a[i]*b[i]
	}
	n := float64(len(a))
	spread := (aa - sumA*sumA/n) * (bb - sumB*sumB/n)
	if spread <= 0 {
		return 0
	}
	return (ab - sumA*sumB/n) / math.Sqrt(spread)
}

// readBand reads across the bars at a part of the region's height from its
// middle, averaged over a few lines.
func (r *region) readBand(g *grey, reader rowReader, at, room float64) (bandRead, bool) {
	count := int(r.width+2*room) + 1
	start := r.middle.sub(r.across.mul(float64(count-1) / 2)).add(r.along.mul(at * r.height))
	profile := make([]float64, 0, count)
	first := 0 // index of the first position inside the picture
	gap := min(0.03*r.height, 2)
	for i := range count {
		p := start.add(r.across.mul(float64(i)))
		if !g.inside(p) {
			if len(profile) > 0 {
				break
			}
			first++
			continue
		}
		sum := 0.0
		for line := range linesPerBand {
			sum += g.at(p.add(r.along.mul(gap * float64(line-linesPerBand/2))))
		}
		profile = append(profile, sum/linesPerBand)
	}
	if len(profile) < barsLeastWidth {
		return bandRead{}, false
	}
	for _, inverted := range []bool{false, true} {
		for _, edges := range profileEdges(profile, inverted) {
			if b, ok := readEdges(reader, edges, len(profile)); ok {
				shift := float64(first) - float64(count-1)/2 - 0.5
				b.from, b.to, b.at = b.from+shift, b.to+shift, at
				return b, true
			}
		}
	}
	return bandRead{}, false
}

// profileEdges finds the edges of a profile in several ways: by one threshold
// for all, by local ones, and by local ones after sharpening. Edges alternate,
// from light to dark first.
func profileEdges(profile []float64, inverted bool) [][]float64 {
	if inverted {
		turned := make([]float64, len(profile))
		for i, v := range profile {
			turned[i] = 255 - v
		}
		profile = turned
	}
	low, high := slices.Min(profile), slices.Max(profile)
	if high-low < minContrast {
		return nil
	}
	whole := (low + high) / 2
	levels := make([]float64, len(profile))
	for i := range levels {
		levels[i] = whole
	}
	ways := [][]float64{edgesOf(profile, levels)}
	if len(ways[0]) < barsEdges/2 {
		return nil
	}
	sharp := make([]float64, len(profile))
	for i, v := range profile {
		around := profile[max(i-2, 0)] + profile[max(i-1, 0)] + profile[min(i+1, len(profile)-1)] + profile[min(i+2, len(profile)-1)]
		sharp[i] = v + (v - around/4)
	}
	for _, values := range [][]float64{profile, sharp} {
		for i := range values {
			part := values[max(i-localReach, 0):min(i+localReach+1, len(values))]
			l, h := slices.Min(part), slices.Max(part)
			levels[i] = whole
			if h-l > (high-low)/3 {
				levels[i] = (l + h) / 2
			}
		}
		ways = append(ways, edgesOf(values, levels))
	}
	return ways
}

// edgesOf gives the places, to parts of a pixel, where values cross levels. A
// profile that begins dark has its first edge at its start.
func edgesOf(values, levels []float64) []float64 {
	var edges []float64
	before := values[0] - levels[0]
	if before < 0 {
		edges = append(edges, 0)
	}
	for i := 1; i < len(values); i++ {
		now := values[i] - levels[i]
		if now < 0 != (before < 0) {
			edges = append(edges, float64(i)-0.5+before/(before-now))
		}
		before = now
	}
	return edges
}

// readEdges draws the edges on a fine row and has it read from both ends.
func readEdges(reader rowReader, edges []float64, length int) (bandRead, bool) {
	if len(edges) < barsEdges {
		return bandRead{}, false
	}
	row := gozxing.NewBitArray(length * rowScale)
	for i := 0; i < len(edges); i += 2 {
		to := float64(length)
		if i+1 < len(edges) {
			to = edges[i+1]
		}
		for x := int(math.Round(edges[i] * rowScale)); x < min(int(math.Round(to*rowScale)), row.GetSize()); x++ {
			row.Set(x)
		}
	}
	for _, reversed := range []bool{false, true} {
		if reversed {
			row.Reverse()
		}
		text, from, to, module, ok := reader.read(row)
		if !ok || module < barsModule*rowScale {
			continue
		}
		from, to = from/rowScale, to/rowScale
		if reversed {
			from, to = float64(length)-to, float64(length)-from
		}
		return bandRead{text: text, module: module / rowScale, from: from, to: to, reversed: reversed}, true
	}
	return bandRead{}, false
}
