package scan

import (
	"math"
	"slices"
)

// find is a symbol that was read, in pixels of the level it was read on.
type find struct {
	text    string
	symbol  string
	module  float64 // pixels; 0 when it is not known
	corners [4]point
}

// field is a grid of modules laid over a picture: module (i, j) has its middle
// at origin + (i+½)·across + (j+½)·down.
type field struct {
	g             *grey
	origin        point
	across, down  point // one module
	columns, rows int
}

// place is the position of a point of the grid, in modules.
func (f *field) place(x, y float64) point {
	return f.origin.add(f.across.mul(x)).add(f.down.mul(y))
}

func (f *field) corners() [4]point {
	w, h := float64(f.columns), float64(f.rows)
	return [4]point{f.place(0, 0), f.place(w, 0), f.place(w, h), f.place(0, h)}
}

func (f *field) module() float64 {
	return math.Sqrt(math.Abs(f.across.cross(f.down)))
}

// samples are the luminances of the modules of a field and of one module
// around it, which sharpening needs.
type samples struct {
	columns, rows int
	values        []float64
}

func (s *samples) index(x, y int) int { return (y+1)*(s.columns+2) + x + 1 }

// at is the luminance of a module; -1 and columns or rows are just outside.
func (s *samples) at(x, y int) float64 { return s.values[s.index(x, y)] }

// value reads the luminance of a module; inverted, 255 less it. Larger modules
// are averaged over their inner part, against noise.
func (f *field) value(x, y int, inverted bool) float64 {
	middle := f.place(float64(x)+0.5, float64(y)+0.5)
	value := f.g.at(middle)
	if f.module() >= 2.5 {
		across, down := f.across.mul(0.22), f.down.mul(0.22)
		value += f.g.at(middle.add(across)) + f.g.at(middle.sub(across)) +
			f.g.at(middle.add(down)) + f.g.at(middle.sub(down))
		value /= 5
	}
	if inverted {
		return 255 - value
	}
	return value
}

// sample reads all modules.
func (f *field) sample(inverted bool) *samples {
	s := &samples{f.columns, f.rows, make([]float64, (f.columns+2)*(f.rows+2))}
	for y := -1; y <= f.rows; y++ {
		for x := -1; x <= f.columns; x++ {
			s.values[s.index(x, y)] = f.value(x, y, inverted)
		}
	}
	return s
}

// sharpened drives each module away from the mean of its neighbours, which
// blur has mixed into it.
func (s *samples) sharpened(by float64) *samples {
	if by == 0 {
		return s
	}
	result := &samples{s.columns, s.rows, slices.Clone(s.values)}
	for y := range s.rows {
		for x := range s.columns {
			around := s.at(x-1, y) + s.at(x+1, y) + s.at(x, y-1) + s.at(x, y+1)
			value := s.at(x, y)
			result.values[s.index(x, y)] = value + by*(value-around/4)
		}
	}
	return result
}

// part tells dark from light modules.
func (s *samples) part(level func(x, y int) float64) *modules {
	m := &modules{columns: s.columns, rows: s.rows, dark: make([]bool, s.columns*s.rows)}
	for y := range s.rows {
		for x := range s.columns {
			m.dark[y*s.columns+x] = s.at(x, y) < level(x, y)
		}
	}
	return m
}
