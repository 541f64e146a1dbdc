package schedule

// score is what plans are told apart by.
type score struct {
	left   float64
	pieces int
	late   int // grafts times days after First
}

func (d *draft) left() float64 {
	left := 0.0
	for order, short := range d.short {
		left += float64(short) * d.jobs[order].value
	}
	return left
}

func (d *draft) score() score {
	s := score{left: d.left()}
	for order := range d.jobs {
		pieces, late := d.scoreOf(order)
		s.pieces += pieces
		s.late += late
	}
	return s
}

func (d *draft) scoreOf(order int) (pieces, late int) {
	for choice, grafts := range d.pieces[order] {
		if grafts > 0 {
			pieces++
			late += grafts * d.days[choice]
		}
	}
	return pieces, late
}

// compare returns -1 where s is better than t.
func (s score) compare(t score, tolerance float64) int {
	switch {
	case s.left < t.left-tolerance:
		return -1
	case s.left > t.left+tolerance:
		return 1
	case s.pieces != t.pieces:
		return sign(s.pieces - t.pieces)
	}
	return sign(s.late - t.late)
}

func sign(n int) int { return min(1, max(-1, n)) }
