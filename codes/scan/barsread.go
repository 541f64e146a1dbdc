package scan

import (
	"math"
	"slices"

	"graftslip/codes/internal/restore"
)

// readBarsLattice samples a lattice and reads it. A text that is not certain
// must be read twice alike, from rows of which none is the same.
func readBarsLattice(g *grey, l *lattice, inverted bool, bars *restore.Bars, accept func(string) bool) (string, bool) {
	fine := *l
	fine.rows = barsReadRows
	s := fine.sample(g, inverted)
	lost := s.glare(barsHalo)
	type rows struct{ from, to int } // quarters
	type read struct {
		text string
		rows rows
	}
	var reads []read
	for _, part := range []rows{{0, 4}, {0, 2}, {2, 4}, {1, 3}, {0, 1}, {3, 4}} {
		light, sure := s.profile(lost, part.from*barsReadRows/4, part.to*barsReadRows/4)
		text, certain := bars.Read(light, sure)
		if text == "" || !accept(text) {
			continue
		}
		if certain || slices.ContainsFunc(reads, func(r read) bool {
			return r.text == text && (r.rows.to <= part.from || part.to <= r.rows.from)
		}) {
			return text, true
		}
		reads = append(reads, read{text, part})
	}
	return "", false
}

// profile is the light of each column over some rows, from 0 for dark to 1 for
// light, and how much of it was seen: what glare has covered is left out, and
// what covers one row counts for no more than that row.
func (s *samples) profile(lost []float64, from, to int) (light, sure []float64) {
	const reach = 6 // modules: no character has less of light or dark
	light, sure = make([]float64, s.columns), make([]float64, s.columns)
	row, gone := make([]float64, s.columns+2), make([]float64, s.columns+2)
	for y := from; y < to; y++ {
		low, high := math.Inf(1), math.Inf(-1)
		for x := range row {
			row[x] = s.at(x-1, y)
			gone[x] = 0
			if x > 0 && x <= s.columns {
				gone[x] = lost[y*s.columns+x-1]
			}
			if gone[x] == 0 {
				low, high = min(low, row[x]), max(high, row[x])
			}
		}
		for x := range light {
			l, h := high, low
			for i := max(x+1-reach, 0); i < min(x+2+reach, len(row)); i++ {
				if gone[i] == 0 {
					l, h = min(l, row[i]), max(h, row[i])
				}
			}
			half := max((h-l)/2, (high-low)/6, 1)
			weight := (1 - gone[x+1]) / float64(to-from)
			light[x] += weight * (min(max((row[x+1]-(l+h)/2)/half, -1), 1) + 1) / 2
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
