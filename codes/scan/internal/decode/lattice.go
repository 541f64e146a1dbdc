package decode

import (
	"iter"

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
		try := func(modules []restore.Module) bool { return yield(withoutGlare(modules, lost)) }
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

// withoutGlare makes modules less sure, in place, by how much of each is lost.
func withoutGlare(modules []restore.Module, lost []float64) []restore.Module {
	for i := range modules {
		modules[i].Sure *= 1 - lost[i]
	}
	return modules
}

// Square samples the lattice of a guess and decodes what it reads.
func Square(picture *pixels.Grey, g *fit.Guess, accept func(string) bool) (Find, bool) {
	for reading := range readings(g.Lattice.Sample(picture, g.Inverted), g.Known) {
		if text, ok := textOf(g.Symbol, g.Columns, reading, accept); ok {
			return read(g, text)
		}
	}
	return Find{}, false
}

// RefinedSquare moves the corners of a lattice to where its modules, blurred,
// explain best what is seen, and decodes it at each step. The score of a grid
// draws a blurred lattice awry; this does not.
func RefinedSquare(picture *pixels.Grey, g fit.Guess, accept func(string) bool) (Find, bool) {
	equalize := func(l *fit.Lattice) (modules []restore.Module, explained float64) {
		if !l.Sound() {
			return nil, 0
		}
		s := l.Sample(picture, g.Inverted)
		even := s.Normalized(2)
		modules, explained = equalized(even, classified(even), g.Known)
		return withoutGlare(modules, s.Glare(1)), explained
	}
	_, best := equalize(&g.Lattice)
	text, module := "", g.Lattice.Module()
	fit.Climb(0.3*module, 0.1*module, 1.7, 3, fit.FlatMoves, func(move int, by float64) bool {
		if text != "" {
			return false
		}
		moved := g.Lattice.Moved(move, by)
		modules, explained := equalize(&moved)
		if explained <= best {
			return false
		}
		g.Lattice, best = moved, explained
		text, _ = textOf(g.Symbol, g.Columns, modules, accept)
		return true
	})
	if text != "" {
		return read(&g, text)
	}
	return Square(picture, &g, accept)
}
