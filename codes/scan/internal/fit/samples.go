package fit

import (
	"slices"

	"graftslip/codes/scan/internal/pixels"
)

// Samples are the luminances of the modules of a field and of one module
// around it, which sharpening needs.
type Samples struct {
	Columns, Rows int
	Values        []float64
}

func (s *Samples) Index(x, y int) int { return (y+1)*(s.Columns+2) + x + 1 }

// At is the luminance of a module; -1 and columns or rows are just outside.
func (s *Samples) At(x, y int) float64 { return s.Values[s.Index(x, y)] }

// Sample reads the luminance of all modules of a lattice and of one around it;
// inverted, 255 less it.
func (l *Lattice) Sample(g *pixels.Grey, inverted bool) *Samples {
	fine := l.Module() >= fineModule
	return sampled(l.Columns, l.Rows, func(x, y int) float64 {
		cx, cy := float64(x)+0.5, float64(y)+0.5
		value := g.At(l.Place(cx, cy))
		if fine {
			value += g.At(l.Place(cx+inner, cy)) + g.At(l.Place(cx-inner, cy)) +
				g.At(l.Place(cx, cy+inner)) + g.At(l.Place(cx, cy-inner))
			value /= 5
		}
		if inverted {
			return 255 - value
		}
		return value
	})
}

// Sample reads the luminance of all modules and of one around them; inverted,
// 255 less it.
func (f *Affine) Sample() *Samples { return sampled(f.Columns, f.rows, f.Value) }

func sampled(columns, rows int, value func(x, y int) float64) *Samples {
	s := &Samples{columns, rows, make([]float64, (columns+2)*(rows+2))}
	for y := -1; y <= rows; y++ {
		for x := -1; x <= columns; x++ {
			s.Values[s.Index(x, y)] = value(x, y)
		}
	}
	return s
}

// Modules of so many pixels are averaged over their inner part, against noise.
const (
	fineModule = 2.5
	inner      = 0.22 // of a module, from its middle
)

// Value reads the luminance of a module; inverted, 255 less it.
func (f *Affine) Value(x, y int) float64 {
	middle := f.Place(float64(x)+0.5, float64(y)+0.5)
	value := f.level.At(middle)
	if f.Module() >= fineModule {
		across, down := f.across.Mul(inner), f.down.Mul(inner)
		value += f.level.At(middle.Add(across)) + f.level.At(middle.Sub(across)) +
			f.level.At(middle.Add(down)) + f.level.At(middle.Sub(down))
		value /= 5
	}
	if f.inverted {
		return 255 - value
	}
	return value
}

// Threshold parts dark from light around a module, as seen from Value.
func (f *Affine) Threshold(x, y int) float64 {
	level := f.level.Thresholds().At(f.Place(float64(x)+0.5, float64(y)+0.5))
	if f.inverted {
		return 255 - level
	}
	return level
}

// Sharpened drives each module away from the mean of its neighbours, which
// blur has mixed into it.
func (s *Samples) Sharpened(by float64) *Samples {
	if by == 0 {
		return s
	}
	result := &Samples{s.Columns, s.Rows, slices.Clone(s.Values)}
	for y := range s.Rows {
		for x := range s.Columns {
			around := s.At(x-1, y) + s.At(x+1, y) + s.At(x, y-1) + s.At(x, y+1)
			value := s.At(x, y)
			result.Values[s.Index(x, y)] = value + by*(value-around/4)
		}
	}
	return result
}

const (
	glaring   = 249 // luminance at which nothing is left of print
	mostGlare = 0.4 // of a symbol: more is bright light on all of it
)

// Glare tells how much of each module is lost in glare, from 0 to 1: those that
// are as bright as can be, and less of those around them, within a halo of so
// many modules.
func (s *Samples) Glare(halo int) []float64 {
	lost := make([]float64, s.Columns*s.Rows)
	count := 0
	for y := range s.Rows {
		for x := range s.Columns {
			if s.At(x, y) < glaring {
				continue
			}
			count++
			for j := max(y-halo, 0); j <= min(y+halo, s.Rows-1); j++ {
				for i := max(x-halo, 0); i <= min(x+halo, s.Columns-1); i++ {
					far := max(i-x, x-i, j-y, y-j)
					lost[j*s.Columns+i] = max(lost[j*s.Columns+i], 1-float64(far)/float64(halo+1))
				}
			}
		}
	}
	if float64(count) > mostGlare*float64(len(lost)) {
		clear(lost)
	}
	return lost
}

// extreme gives, for each module of a field and of the ring around, the one that
// is picked of those within so many modules.
func (s *Samples) extreme(reach int, pick func(a, b float64) float64) *Samples {
	along := func(in []float64, step, length int) []float64 {
		out := slices.Clone(in)
		for i := range in {
			at := i / step % length
			for k := max(at-reach, 0); k <= min(at+reach, length-1); k++ {
				out[i] = pick(out[i], in[i+(k-at)*step])
			}
		}
		return out
	}
	wide, tall := s.Columns+2, s.Rows+2
	return &Samples{s.Columns, s.Rows, along(along(s.Values, 1, wide), wide, tall)}
}

// Normalized brings the samples to 0 for dark and 1 for light by what is darkest
// and lightest within so many modules, smoothed over as many. Where there is
// next to no contrast, as in glare, all comes near to one half.
func (s *Samples) Normalized(reach int) *Samples {
	low := s.extreme(reach, func(a, b float64) float64 { return min(a, b) }).smoothed(reach)
	high := s.extreme(reach, func(a, b float64) float64 { return max(a, b) }).smoothed(reach)
	whole := 0.0
	for i := range s.Values {
		whole = max(whole, high.Values[i]-low.Values[i])
	}
	result := &Samples{s.Columns, s.Rows, make([]float64, len(s.Values))}
	for i, v := range s.Values {
		span := max(high.Values[i]-low.Values[i], whole/4, 1)
		result.Values[i] = 0.5 + (v-(low.Values[i]+high.Values[i])/2)/span
	}
	return result
}

// smoothed is the mean of the samples within so many modules.
func (s *Samples) smoothed(reach int) *Samples {
	wide, tall := s.Columns+2, s.Rows+2
	result := &Samples{s.Columns, s.Rows, make([]float64, len(s.Values))}
	for y := range tall {
		for x := range wide {
			sum, count := 0.0, 0.0
			for j := max(y-reach, 0); j <= min(y+reach, tall-1); j++ {
				for i := max(x-reach, 0); i <= min(x+reach, wide-1); i++ {
					sum += s.Values[j*wide+i]
					count++
				}
			}
			result.Values[y*wide+x] = sum / count
		}
	}
	return result
}
