package scan

import (
	"iter"
	"math"

	"graftslip/codes/internal/restore"
)

// sample reads the luminance of all modules of a lattice and of one around it,
// each averaged over its inner part; inverted, 255 less it.
func (l *lattice) sample(g *grey, inverted bool) *samples {
	s := &samples{l.columns, l.rows, make([]float64, (l.columns+2)*(l.rows+2))}
	fine := l.module() >= 2.5
	for y := -1; y <= l.rows; y++ {
		for x := -1; x <= l.columns; x++ {
			cx, cy := float64(x)+0.5, float64(y)+0.5
			value := g.at(l.place(cx, cy))
			if fine {
				value += g.at(l.place(cx+0.22, cy)) + g.at(l.place(cx-0.22, cy)) + g.at(l.place(cx, cy+0.22)) + g.at(l.place(cx, cy-0.22))
				value /= 5
			}
			if inverted {
				value = 255 - value
			}
			s.values[s.index(x, y)] = value
		}
	}
	return s
}

// readings gives the modules of a sampled field in several ways, the plainest
// first: parted by what is around each, sharpened, and with blur worked out.
// known are the modules that are known beforehand.
func readings(s *samples, known []known) iter.Seq[[]restore.Module] {
	return func(yield func([]restore.Module) bool) {
		lost := s.glare(1)
		try := func(modules []restore.Module) bool {
			for i := range modules {
				modules[i].Sure *= 1 - lost[i]
			}
			return yield(modules)
		}
		for _, reach := range []int{3, 2, 6} {
			even := s.evened(reach)
			plain := parted(even)
			if !try(plain) || !try(parted(even.sharpened(0.8))) {
				return
			}
			if m, _ := equalized(even, plain, known); m != nil && !try(m) {
				return
			}
		}
		if m, _ := equalized(s, parted(s.evened(6)), known); m != nil {
			try(m)
		}
	}
}

// parted tells dark from light samples that were evened.
func parted(s *samples) []restore.Module {
	modules := make([]restore.Module, 0, s.columns*s.rows)
	for y := range s.rows {
		for x := range s.columns {
			v := s.at(x, y) - 0.5
			modules = append(modules, restore.Module{Dark: v < 0, Sure: math.Abs(v)})
		}
	}
	return modules
}

const (
	glaring   = 249 // luminance at which nothing is left of print
	mostGlare = 0.4 // of a symbol: more is bright light on all of it
)

// glare tells how much of each module is lost in glare, from 0 to 1: those that
// are as bright as can be, and less of those around them, within a halo of so
// many modules.
func (s *samples) glare(halo int) []float64 {
	lost := make([]float64, s.columns*s.rows)
	count := 0
	for y := range s.rows {
		for x := range s.columns {
			if s.at(x, y) < glaring {
				continue
			}
			count++
			for j := max(y-halo, 0); j <= min(y+halo, s.rows-1); j++ {
				for i := max(x-halo, 0); i <= min(x+halo, s.columns-1); i++ {
					far := max(i-x, x-i, j-y, y-j)
					lost[j*s.columns+i] = max(lost[j*s.columns+i], 1-float64(far)/float64(halo+1))
				}
			}
		}
	}
	if float64(count) > mostGlare*float64(len(lost)) {
		clear(lost)
	}
	return lost
}

// format is how the modules of a kind of symbol are decoded and restored.
type format struct {
	symbol   string
	decode   func(*modules) (string, bool)
	restored func(columns, rows int, m []restore.Module) iter.Seq[[]bool]
}

func qrFormat() format {
	return format{QR, decodeQR, func(columns, _ int, m []restore.Module) iter.Seq[[]bool] { return restore.QR(columns, m) }}
}

func matrixFormat() format { return format{DataMatrix, decodeMatrix, restore.Matrix} }

// text decodes modules as they are, and restored.
func (f format) text(columns, rows int, reading []restore.Module, accept func(string) bool) (string, bool) {
	dark := make([]bool, len(reading))
	for i, m := range reading {
		dark[i] = m.Dark
	}
	if text, ok := f.decode(&modules{columns: columns, rows: rows, dark: dark}); ok && accept(text) {
		return text, true
	}
	for whole := range f.restored(columns, rows, reading) {
		if text, ok := f.decode(&modules{columns: columns, rows: rows, dark: whole}); ok && accept(text) {
			return text, true
		}
	}
	return "", false
}

// read samples a lattice and decodes what it reads.
func (q *grid) read(g *grey, l *lattice, inverted bool, accept func(string) bool) (string, bool) {
	for reading := range readings(l.sample(g, inverted), q.known) {
		if text, ok := q.format.text(l.columns, l.rows, reading, accept); ok {
			return text, true
		}
	}
	return "", false
}

// refined moves the corners of a lattice to where its modules, blurred, explain
// best what is seen, and decodes it at each step. The score of a grid draws a
// blurred lattice awry; this does not.
func (q *grid) refined(g *grey, l lattice, inverted bool, accept func(string) bool) (string, lattice, bool) {
	look := func(l *lattice) ([]restore.Module, float64) {
		if !l.sound() {
			return nil, 0
		}
		s := l.sample(g, inverted)
		even := s.evened(2)
		modules, explained := equalized(even, parted(even), q.known)
		lost := s.glare(1)
		for i := range modules {
			modules[i].Sure *= 1 - lost[i]
		}
		return modules, explained
	}
	_, best := look(&l)
	for step := 0.3 * l.module(); step >= 0.1*l.module(); step /= 1.7 {
		for improved, rounds := true, 0; improved && rounds < 3; rounds++ {
			improved = false
			for move := range flatMoves {
				for _, pixels := range [2]float64{step, -step} {
					moved := l.moved(move, pixels)
					modules, explained := look(&moved)
					if explained <= best {
						continue
					}
					l, best, improved = moved, explained, true
					if text, ok := q.format.text(l.columns, l.rows, modules, accept); ok {
						return text, l, true
					}
					break
				}
			}
		}
	}
	text, ok := q.read(g, &l, inverted, accept)
	return text, l, ok
}
