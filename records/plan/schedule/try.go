package schedule

// try puts some orders elsewhere, and all back if that is worse and loses more value
// than is allowed, by chance. It returns the value lost. With prices half of the
// tries are led by them.
func (s *search) try(p *prices, allowed float64) (lost float64) {
	s.choose()
	before := s.scoreOfChosen()
	for _, order := range s.chosen {
		s.was[order] = s.clear(order, s.was[order])
	}
	s.chance.Shuffle(len(s.chosen), func(a, b int) { s.chosen[a], s.chosen[b] = s.chosen[b], s.chosen[a] })
	s.insertChosen(p)
	after := s.scoreOfChosen()
	lost = after.left - before.left
	if after.compare(before, 1e-9*s.total) <= 0 || allowed > 0 && lost < allowed*s.chance.ExpFloat64() {
		return lost
	}
	for _, order := range s.chosen {
		s.clear(order, nil)
	}
	for _, order := range s.chosen {
		for choice, grafts := range s.was[order] {
			if grafts > 0 {
				s.add(order, choice, grafts)
			}
		}
	}
	return 0
}

// insertChosen puts orders back in one of several ways.
func (s *search) insertChosen(p *prices) {
	sparing := s.chance.IntN(2) == 0
	switch {
	case p != nil && s.chance.IntN(2) == 0:
		for _, order := range s.chosen {
			s.insertPriced(order, p)
		}
	case s.chance.IntN(2) == 0:
		// One piece each before any gets a second.
		for _, order := range s.chosen {
			s.insertPiece(order, sparing)
		}
	}
	for _, order := range s.chosen {
		s.insert(order, sparing)
	}
}

// choose takes an order, more often than not one that is short or in pieces, and some
// others that are grafted about the same time.
func (s *search) choose() {
	for _, order := range s.chosen {
		s.removed[order] = false
	}
	s.chosen = s.chosen[:0]
	first := s.chance.IntN(len(s.jobs))
	for range 8 {
		if pieces, _ := s.scoreOf(first); s.short[first] > 0 || pieces > 1 {
			break
		}
		first = s.chance.IntN(len(s.jobs))
	}
	s.take(first)
	for range s.chance.IntN(6) {
		if other := s.chance.IntN(len(s.jobs)); !s.removed[other] && s.near(first, other) {
			s.take(other)
		}
	}
}

func (s *search) take(order int) {
	s.chosen, s.removed[order] = append(s.chosen, order), true
}

// near tells whether an order has a piece on a day on which another may be grafted.
func (s *search) near(order, other int) bool {
	for choice, grafts := range s.pieces[other] {
		if grafts > 0 && choice < s.jobs[order].choices {
			return true
		}
	}
	return false
}

func (s *search) scoreOfChosen() (total score) {
	for _, order := range s.chosen {
		pieces, late := s.scoreOf(order)
		total.left += float64(s.short[order]) * s.jobs[order].value
		total.pieces += pieces
		total.late += late
	}
	return total
}
