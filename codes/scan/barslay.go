package scan

import (
	"cmp"
	"math"
	"slices"
)

// laidBars is a grid that is laid over bars.
type laidBars struct {
	guess
	inverted bool
}

// laidOver lays grids over a region of bars between the edges at its ends,
// either way round, the likeliest first. The edges are looked for at parts of
// the height, from the middle; two such rows make a grid in perspective.
func (q *grid) laidOver(v *level, r *region, ups []float64) []laidBars {
	c := v.contrast()
	var all []laidBars
	thin := barsGrid(2)
	lay := func(a, b barsRow, inverted bool) {
		corners := r.between(a, b)
		if b.turned {
			corners = turnedCorners(corners, 2)
		}
		l := newLattice(q.columns, q.rows, corners)
		l.bends.acrossOffset = (a.offset + b.offset) / 2
		all = append(all, laidBars{guess{q, l, q.score(c, &l, inverted)}, inverted})
	}
	for _, inverted := range []bool{false, true} {
		var rows []barsRow
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
	slices.SortStableFunc(all, func(a, b laidBars) int { return cmp.Compare(b.score, a.score) })
	return all
}

// barsRow is where bars may begin and end at a part of a region's height.
type barsRow struct {
	up, from, to float64
	turned       bool
	offset       float64 // as of bends: modules that are wider at one end, in perspective
	score        float64
}

// row finds the likeliest ends of the bars at a part of the height.
func (q *grid) row(c *contrast, r *region, up float64, inverted bool) []barsRow {
	const thin = 0.06 // of the height
	first, last, edges := r.ends(c, up, inverted)
	if edges < barsLeastEdges {
		return nil
	}
	var all []barsRow
	for _, from := range first {
		for _, to := range last {
			if to-from < barsLookModule*float64(q.columns) {
				continue
			}
			above, below := barsRow{up: up - thin, from: from, to: to}, barsRow{up: up + thin, from: from, to: to}
			corners := r.quad(above, below)
			for _, turned := range []bool{false, true} {
				if turned {
					corners = turnedCorners(corners, 2)
				}
				l := newLattice(q.columns, q.rows, corners)
				for _, offset := range []float64{0, -0.05, 0.05, -0.1, 0.1} {
					l.bends.acrossOffset = offset
					all = append(all, barsRow{up, from, to, turned, offset, q.score(c, &l, inverted)})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b barsRow) int { return cmp.Compare(b.score, a.score) })
	return all[:min(len(all), barsRowBest)]
}

// quad is the corners of the bars between two rows.
func (r *region) quad(above, below barsRow) [4]point {
	at := func(row barsRow, x float64) point {
		return r.middle.add(r.base.mul(x)).add(r.along.mul(row.up * r.height))
	}
	return [4]point{at(above, above.from), at(above, above.to), at(below, below.to), at(below, below.from)}
}

// between is the corners of the bars, as high as the region nearly, whose ends
// lie on lines through those of two rows, or beside those of one.
func (r *region) between(a, b barsRow) [4]point {
	const reach = 0.42 // of the height
	row := func(up float64) barsRow {
		if a.up == b.up {
			return barsRow{up: up, from: a.from, to: a.to}
		}
		part := (up - a.up) / (b.up - a.up)
		return barsRow{up: up, from: a.from + part*(b.from-a.from), to: a.to + part*(b.to-a.to)}
	}
	return r.quad(row(-reach), row(reach))
}

// ends gives the places along the base of a region, in pixels from its middle,
// where the first bar may begin and the last may end: edges from light to dark
// near its one end, and from dark to light near the other; and how many there
// are of the former. up is the part of the height, from the middle, at which
// they are looked for.
func (r *region) ends(c *contrast, up float64, inverted bool) (first, last []float64, edges int) {
	room := max(0.12*r.width, 24)
	before := 0.0
	var rising, falling []float64
	for at := -r.width/2 - room; at <= r.width/2+room; at += 0.5 {
		p := r.middle.add(r.base.mul(at)).add(r.along.mul(up * r.height))
		if !c.inside(p) {
			before = 0
			continue
		}
		sum := 0.0
		for _, line := range []float64{-0.06, -0.03, 0, 0.03, 0.06} {
			sum += c.at(p.add(r.along.mul(line * r.height)))
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
	return near(rising, -r.width/2), near(falling, r.width/2), edges
}
