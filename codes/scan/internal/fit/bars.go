package fit

import (
	"cmp"
	"slices"

	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

const (
	codeDigits     = 14  // of the codes that bars carry
	BarsLookModule = 1.0 // least pixels a module
	barsLeastEdges = 16  // bars of a region that may carry a code, of 30
	barsRowBest    = 3   // ends that are taken from one row
)

// BarsGrid is that of the bars of a code, cut into rows.
func BarsGrid(rows int) *Grid {
	width := restore.BarsWidth(codeDigits)
	q := &Grid{Symbol: Code128, Columns: width, Rows: rows}
	for y := range rows {
		for _, bar := range restore.FixedBars(width) {
			q.see(bar.At, y, !bar.Dark, 1)
		}
		for i := range 3 { // of ten modules of quiet zone
			q.see(-i-1, y, true, 1)
			q.see(width+i, y, true, 1)
		}
		for x := 11; x < width-13; x++ {
			q.differ(x, y)
		}
	}
	return q
}

// OverBars lays grids over a region of bars between the edges at its ends,
// either way round, the likeliest first. The edges are looked for at parts of
// the height, from the middle; two such rows make a grid in perspective.
func (q *Grid) OverBars(c *pixels.Contrast, r *locate.BarRegion, ups []float64) []Guess {
	var all []Guess
	thin := BarsGrid(2)
	lay := func(a, b barSpan, inverted bool) {
		corners := between(r, a, b)
		if b.turned {
			corners = RotatedCorners(corners, 2)
		}
		l := q.lattice(corners)
		l.bends.acrossOffset = (a.offset + b.offset) / 2
		all = append(all, q.guess(c, l, inverted))
	}
	for _, inverted := range []bool{false, true} {
		var rows []barSpan
		for _, up := range ups {
			best := thin.row(c, r, up, inverted)
			for _, b := range best {
				lay(b, b, inverted)
				for _, other := range rows {
					if other.turned == b.turned && other.up != b.up {
						lay(other, b, inverted)
					}
				}
			}
			rows = append(rows, best...)
		}
	}
	Likeliest(all)
	return all
}

// barSpan is where bars may begin and end at a part of a region's height.
type barSpan struct {
	up, from, to float64
	turned       bool
	offset       float64 // as of bends: modules that are wider at one end, in perspective
	score        float64
}

// row finds the likeliest ends of the bars at a part of the height.
func (q *Grid) row(c *pixels.Contrast, r *locate.BarRegion, up float64, inverted bool) []barSpan {
	const thin = 0.06 // of the height
	first, last, edges := r.Ends(c, up, inverted)
	if edges < barsLeastEdges {
		return nil
	}
	var all []barSpan
	for _, from := range first {
		for _, to := range last {
			if to-from < BarsLookModule*float64(q.Columns) {
				continue
			}
			corners := quad(r, barSpan{up: up - thin, from: from, to: to}, barSpan{up: up + thin, from: from, to: to})
			for _, turned := range []bool{false, true} {
				if turned {
					corners = RotatedCorners(corners, 2)
				}
				l := q.lattice(corners)
				for _, offset := range []float64{0, -0.05, 0.05, -0.1, 0.1} {
					l.bends.acrossOffset = offset
					all = append(all, barSpan{up, from, to, turned, offset, q.score(c, &l, inverted)})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b barSpan) int { return cmp.Compare(b.score, a.score) })
	return all[:min(len(all), barsRowBest)]
}

// quad is the corners of the bars between two rows.
func quad(r *locate.BarRegion, above, below barSpan) [4]pixels.Point {
	at := func(row barSpan, x float64) pixels.Point {
		return r.Middle.Add(r.Base.Mul(x)).Add(r.Along.Mul(row.up * r.Height))
	}
	return [4]pixels.Point{at(above, above.from), at(above, above.to), at(below, below.to), at(below, below.from)}
}

// between is the corners of the bars, as high as the region nearly, whose ends
// lie on lines through those of two rows, or beside those of one.
func between(r *locate.BarRegion, a, b barSpan) [4]pixels.Point {
	const reach = 0.42 // of the height
	row := func(up float64) barSpan {
		if a.up == b.up {
			return barSpan{up: up, from: a.from, to: a.to}
		}
		part := (up - a.up) / (b.up - a.up)
		return barSpan{up: up, from: a.from + part*(b.from-a.from), to: a.to + part*(b.to-a.to)}
	}
	return quad(r, row(-reach), row(reach))
}

// OverRegion lays a grid over the whole of a region of bars. It has no score.
func (q *Grid) OverRegion(r *locate.BarRegion) Guess {
	edge := barSpan{from: -r.Width / 2, to: r.Width / 2}
	return Guess{Grid: q, Lattice: q.lattice(between(r, edge, edge))}
}
