package decode

import (
	"math"
	"slices"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/oned"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

// rowReader reads a Code 128 off one row of dark and light.
type rowReader struct{ decoder oned.RowDecoder }

// read gives the text, where the symbol begins and ends and the width of a
// module, all in elements of the row.
func (r rowReader) read(row *gozxing.BitArray) (text string, from, to, module float64, ok bool) {
	text, ok = careful(func() (*gozxing.Result, error) {
		result, err := r.decoder.DecodeRow(0, row, nil)
		if err != nil {
			return nil, err
		}
		// The reader points to the middles of the first symbol character and
		// of the last, the stop, whose last bar it leaves out. Eleven modules
		// each, the last bar two more (ISO/IEC 15417).
		points, characters := result.GetResultPoints(), len(result.GetRawBytes())
		first, last := points[0].GetX(), points[1].GetX()
		module = (last - first) / float64(11*(characters-1))
		from, to = first-5.5*module, last+7.5*module
		return result, nil
	})
	return text, from, to, module, ok
}

func NewRowReader() rowReader {
	decoder, _ := oned.NewCode128Reader().(oned.RowDecoder)
	return rowReader{decoder}
}

const (
	rowScale      = 4   // elements of a row, as it is handed to the reader, a pixel
	barsEdges     = 20  // least edges of a row that holds a symbol
	barsModule    = 1.4 // least pixels a module: narrower bars are misread
	localReach    = 16  // pixels to both sides in which a local threshold is found
	linesPerBand  = 5
	bandsAgreeing = 2 // bands of a symbol that must be read alike
)

// bandRead is what was read in one band of a region.
type bandRead struct {
	text     string
	module   float64 // pixels
	from, to float64 // of the symbol, in pixels across from the region's middle
	at       float64 // where along the bars it was read, as a part of the region's height
	reversed bool    // it was read from its right to its left
}

// BarsRegion tries the bands of a region, first just wide enough for the bars and a
// little room, then wider, in case the region is only a part of the symbol.
func BarsRegion(g *pixels.Grey, r *locate.BarRegion, reader rowReader, accept func(string) bool) (Find, bool) {
	for _, room := range []float64{max(0.15*r.Width, 24), max(0.6*r.Width, 60)} {
		var reads []bandRead
		for _, at := range []float64{0, 0.2, -0.2, 0.35, -0.35} {
			band, ok := readBand(g, r, reader, at, room)
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
				return findOf(g, r, band), true
			}
			reads = append(reads, band)
		}
	}
	return Find{}, false
}

// findOf is the symbol of a band, as high as its bars are.
func findOf(g *pixels.Grey, r *locate.BarRegion, b bandRead) Find {
	up, down := barsEnd(g, r, b, -1), barsEnd(g, r, b, 1)
	from, to := r.Middle.Add(r.Across.Mul(b.from)), r.Middle.Add(r.Across.Mul(b.to))
	f := Find{Text: b.text, Symbol: fit.Code128, Module: b.module, Corners: [4]pixels.Point{
		from.Add(r.Along.Mul(up)), to.Add(r.Along.Mul(up)), to.Add(r.Along.Mul(down)), from.Add(r.Along.Mul(down))}}
	if b.reversed {
		f.Corners = fit.RotatedCorners(f.Corners, 2)
	}
	return f
}

// barsEnd is how far along the bars of a band go, up (-1) or down (1) from it, in
// pixels from the region's middle: as long as what is seen across is much the
// same. A region may be higher, where another symbol or text stands below.
func barsEnd(g *pixels.Grey, r *locate.BarRegion, b bandRead, way float64) float64 {
	const (
		alikeRows = 0.5 // correlation
		gap       = 3   // rows that may be otherwise, as by dirt
	)
	start := b.at * r.Height
	row := func(at float64) []float64 {
		values := make([]float64, 0, int(b.to-b.from)+1)
		for x := b.from; x <= b.to; x++ {
			values = append(values, g.At(r.Middle.Add(r.Across.Mul(x)).Add(r.Along.Mul(at))))
		}
		return values
	}
	model, last := row(start), start
	for at := start + way; math.Abs(at) <= r.Height/2+pixels.Block && math.Abs(at-last) <= gap; at += way {
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
func readBand(g *pixels.Grey, r *locate.BarRegion, reader rowReader, at, room float64) (bandRead, bool) {
	count := int(r.Width+2*room) + 1
	start := r.Middle.Sub(r.Across.Mul(float64(count-1) / 2)).Add(r.Along.Mul(at * r.Height))
	profile := make([]float64, 0, count)
	first := 0 // index of the first position inside the picture
	gap := min(0.03*r.Height, 2)
	for i := range count {
		p := start.Add(r.Across.Mul(float64(i)))
		if !g.Inside(p) {
			if len(profile) > 0 {
				break
			}
			first++
			continue
		}
		sum := 0.0
		for line := range linesPerBand {
			sum += g.At(p.Add(r.Along.Mul(gap * float64(line-linesPerBand/2))))
		}
		profile = append(profile, sum/linesPerBand)
	}
	if len(profile) < locate.BarsLeastWidth {
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
	if high-low < pixels.MinContrast {
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
