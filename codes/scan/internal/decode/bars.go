package decode

import (
	"math"
	"slices"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

const (
	barsReadRows = 24 // rows of samples along the bars, to read them
	barsEnough   = 4  // the part of the rows that shows a module as well as all, as its inverse
	barsHalo     = 3  // samples around glare that it makes lighter
)

// Bars samples the lattice of a guess and reads it. A text that is not certain
// must be read twice alike, from rows of which none is the same.
func Bars(picture *pixels.Grey, g *fit.Guess, bars *restore.Bars, accept func(string) bool) (Find, bool) {
	fine := g.Lattice
	fine.Rows = barsReadRows
	s := fine.Sample(picture, g.Inverted)
	lost := s.Glare(barsHalo)
	type part struct {
		text     string
		from, to int // rows
	}
	var parts []part
	for _, rows := range barsReadParts() {
		from, to := rows[0], rows[1]
		light, sure := profile(s, lost, from, to)
		text, certain := bars.Read(light, sure)
		if text == "" || !accept(text) {
			continue
		}
		if certain || slices.ContainsFunc(parts, func(p part) bool {
			return p.text == text && (p.to <= from || to <= p.from)
		}) {
			return read(g, text)
		}
		parts = append(parts, part{text, from, to})
	}
	if slices.Max(lost) > 0 {
		if text, certain := bars.Read(darkest(s, lost)); certain && accept(text) {
			return read(g, text)
		}
	}
	return Find{}, false
}

// barsReadParts are the rows that are read together, from and up to: large
// parts first, against blur and noise, then small ones, of which some lie
// beside what covers the rest.
func barsReadParts() [][2]int {
	const quarter, small = barsReadRows / 4, barsReadRows / 12
	parts := [][2]int{{0, 4 * quarter}, {0, 2 * quarter}, {2 * quarter, 4 * quarter},
		{quarter, 3 * quarter}, {0, quarter}, {3 * quarter, 4 * quarter}}
	for row := 0; row < barsReadRows; row += small {
		parts = append(parts, [2]int{row, row + small})
	}
	return parts
}

// profile is the light of each column over some rows, from 0 for dark to 1 for
// light, and how much of it was seen: what glare has covered is left out, and
// what covers one row counts for no more than that row.
func profile(s *fit.Samples, lost []float64, from, to int) (light, sure []float64) {
	light, sure = make([]float64, s.Columns), make([]float64, s.Columns)
	for y := from; y < to; y++ {
		for x, v := range levelled(s, lost, y) {
			weight := (1 - lost[y*s.Columns+x]) / float64(to-from)
			light[x] += weight * v
			sure[x] += weight
		}
	}
	for x := range light {
		if sure[x] > 0 {
			light[x] /= sure[x]
		}
		sure[x] = min(sure[x]*barsEnough, 1)
	}
	return light, sure
}

// darkest is the light of each column where it is about darkest: glare, which
// reaches further than it is seen, only adds light.
func darkest(s *fit.Samples, lost []float64) (light, sure []float64) {
	const (
		part  = 0.2 // of the rows may be darker, as by dirt
		least = 3   // rows
	)
	rows := make([][]float64, s.Rows)
	for y := range rows {
		rows[y] = levelled(s, lost, y)
	}
	light, sure = make([]float64, s.Columns), make([]float64, s.Columns)
	var seen []float64
	for x := range light {
		seen = seen[:0]
		for y := range rows {
			if lost[y*s.Columns+x] < 1 {
				seen = append(seen, rows[y][x])
			}
		}
		if len(seen) < least {
			continue
		}
		slices.Sort(seen)
		light[x], sure[x] = seen[int(part*float64(len(seen)))], 1
	}
	return light, sure
}

// levelled is a row brought to 0 for dark and 1 for light by what is darkest
// and lightest around, without what glare has covered.
func levelled(s *fit.Samples, lost []float64, y int) []float64 {
	const reach = 6 // modules: no character has less of light or dark
	row, seen := make([]float64, s.Columns+2), make([]bool, s.Columns+2)
	low, high := math.Inf(1), math.Inf(-1)
	for x := range row {
		row[x] = s.At(x-1, y)
		seen[x] = x == 0 || x > s.Columns || lost[y*s.Columns+x-1] == 0
		if seen[x] {
			low, high = min(low, row[x]), max(high, row[x])
		}
	}
	levelled := make([]float64, s.Columns)
	for x := range levelled {
		l, h := high, low
		for i := max(x+1-reach, 0); i < min(x+2+reach, len(row)); i++ {
			if seen[i] {
				l, h = min(l, row[i]), max(h, row[i])
			}
		}
		half := max((h-l)/2, (high-low)/6, 1)
		levelled[x] = (min(max((row[x+1]-(l+h)/2)/half, -1), 1) + 1) / 2
	}
	return levelled
}
