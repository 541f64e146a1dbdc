package decode

import (
	"iter"
	"math"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

// readings gives the modules of a sampled field in several ways, the plainest
// first: parted by what is around each, sharpened, and with blur worked out.
// known are the modules that are known beforehand.
func readings(s *fit.Samples, known []fit.Known) iter.Seq[[]restore.Module] {
	return func(yield func([]restore.Module) bool) {
		lost := s.Glare(1)
		try := func(modules []restore.Module) bool {
			for i := range modules {
				modules[i].Sure *= 1 - lost[i]
			}
			return yield(modules)
		}
		for _, reach := range []int{3, 2, 6} {
			even := s.Normalized(reach)
			plain := classified(even)
			if !try(plain) || !try(classified(even.Sharpened(0.8))) {
				return
			}
			if m, _ := equalized(even, plain, known); m != nil && !try(m) {
				return
			}
		}
		if m, _ := equalized(s, classified(s.Normalized(6)), known); m != nil {
			try(m)
		}
	}
}

// classified tells dark from light samples that were evened.
func classified(s *fit.Samples) []restore.Module {
	modules := make([]restore.Module, 0, s.Columns*s.Rows)
	for y := range s.Rows {
		for x := range s.Columns {
			v := s.At(x, y) - 0.5
			modules = append(modules, restore.Module{Dark: v < 0, Sure: math.Abs(v)})
		}
	}
	return modules
}

// SquareLattice samples a lattice and decodes what it reads.
func SquareLattice(q *fit.Grid, g *pixels.Grey, l *fit.Lattice, inverted bool, accept func(string) bool) (string, bool) {
	for reading := range readings(l.Sample(g, inverted), q.Known) {
		if text, ok := textOf(q.Symbol, q.Columns, reading, accept); ok {
			return text, true
		}
	}
	return "", false
}

// RefinedLattice moves the corners of a lattice to where its modules, blurred, explain
// best what is seen, and decodes it at each step. The score of a grid draws a
// blurred lattice awry; this does not.
func RefinedLattice(q *fit.Grid, g *pixels.Grey, l fit.Lattice, inverted bool, accept func(string) bool) (string, fit.Lattice, bool) {
	look := func(l *fit.Lattice) ([]restore.Module, float64) {
		if !l.Sound() {
			return nil, 0
		}
		s := l.Sample(g, inverted)
		even := s.Normalized(2)
		modules, explained := equalized(even, classified(even), q.Known)
		lost := s.Glare(1)
		for i := range modules {
			modules[i].Sure *= 1 - lost[i]
		}
		return modules, explained
	}
	_, best := look(&l)
	for step := 0.3 * l.Module(); step >= 0.1*l.Module(); step /= 1.7 {
		for improved, rounds := true, 0; improved && rounds < 3; rounds++ {
			improved = false
			for move := range fit.FlatMoves {
				for _, pixels := range [2]float64{step, -step} {
					moved := l.Moved(move, pixels)
					modules, explained := look(&moved)
					if explained <= best {
						continue
					}
					l, best, improved = moved, explained, true
					if text, ok := textOf(q.Symbol, q.Columns, modules, accept); ok {
						return text, l, true
					}
					break
				}
			}
		}
	}
	text, ok := SquareLattice(q, g, &l, inverted, accept)
	return text, l, ok
}
