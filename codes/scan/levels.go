package scan

// around gives, for each module of a field and of the ring around, the darkest
// and the lightest within so many modules.
func (s *samples) around(reach int) (low, high *samples) {
	wide, tall := s.columns+2, s.rows+2
	extremes := func(pick func(a, b float64) float64) *samples {
		across := make([]float64, len(s.values))
		down := make([]float64, len(s.values))
		for y := range tall {
			for x := range wide {
				v := s.values[y*wide+x]
				for k := max(x-reach, 0); k <= min(x+reach, wide-1); k++ {
					v = pick(v, s.values[y*wide+k])
				}
				across[y*wide+x] = v
			}
		}
		for y := range tall {
			for x := range wide {
				v := across[y*wide+x]
				for k := max(y-reach, 0); k <= min(y+reach, tall-1); k++ {
					v = pick(v, across[k*wide+x])
				}
				down[y*wide+x] = v
			}
		}
		return &samples{s.columns, s.rows, down}
	}
	return extremes(func(a, b float64) float64 { return min(a, b) }), extremes(func(a, b float64) float64 { return max(a, b) })
}

// evened brings the samples to 0 for dark and 1 for light by what is darkest
// and lightest within so many modules, smoothed over as many. Where there is
// next to no contrast, as in glare, all comes near to one half.
func (s *samples) evened(reach int) *samples {
	low, high := s.around(reach)
	low, high = low.smoothed(reach), high.smoothed(reach)
	whole := 0.0
	for i := range s.values {
		whole = max(whole, high.values[i]-low.values[i])
	}
	result := &samples{s.columns, s.rows, make([]float64, len(s.values))}
	for i, v := range s.values {
		span := max(high.values[i]-low.values[i], whole/4, 1)
		result.values[i] = 0.5 + (v-(low.values[i]+high.values[i])/2)/span
	}
	return result
}

// smoothed is the mean of the samples within so many modules.
func (s *samples) smoothed(reach int) *samples {
	wide, tall := s.columns+2, s.rows+2
	result := &samples{s.columns, s.rows, make([]float64, len(s.values))}
	for y := range tall {
		for x := range wide {
			sum, count := 0.0, 0.0
			for j := max(y-reach, 0); j <= min(y+reach, tall-1); j++ {
				for i := max(x-reach, 0); i <= min(x+reach, wide-1); i++ {
					sum += s.values[j*wide+i]
					count++
				}
			}
			result.values[y*wide+x] = sum / count
		}
	}
	return result
}
