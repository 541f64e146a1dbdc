package codes

import "math/bits"

// solve adds the codes that fit p to s.hits.
func (s *search) solve(p *pattern) {
	var (
		digits [length]uint64
		open   [length]int // the places that may hold more than one digit
		count  int
		sum    uint64 // what the other places leave, not reduced
	)
	for i, at := range p.slots[:length] {
		if bits.OnesCount16(at.digits) > 1 {
			open[count] = i
			count++
			continue
		}
		digits[i] = uint64(bits.TrailingZeros16(at.digits))
		sum += digits[i] * s.weight[i]
	}
	s.fill(p, &digits, open[:count], sum)
}

// fill tries the digits of all open places but the last, and works out the last.
func (s *search) fill(p *pattern, digits *[length]uint64, open []int, sum uint64) {
	if len(open) == 0 {
		if sum%modulus == 1 {
			s.add(p, digits)
		}
		return
	}
	at := open[0]
	if len(open) == 1 {
		digit := (modulus + 1 - sum%modulus) * s.inverse[at] % modulus
		if p.slots[at].digits>>digit&1 == 1 {
			digits[at] = digit
			s.add(p, digits)
		}
		return
	}
	for rest := p.slots[at].digits; rest != 0; rest &= rest - 1 {
		digits[at] = uint64(bits.TrailingZeros16(rest))
		s.fill(p, digits, open[1:], sum+digits[at]*s.weight[at])
	}
}

// add adds the code of these digits to s.hits, if there is such a code.
func (s *search) add(p *pattern, digits *[length]uint64) {
	number := uint64(0)
	for _, digit := range digits {
		number = number*10 + digit
	}
	code, err := fromNumber(number)
	if err != nil {
		return
	}
	found := hit{code: code, order: int32(len(s.hits)), faults: p.faults, made: p.made}
	for i, at := range p.slots[:length] {
		found.from[i] = at.from
	}
	for _, f := range p.faults[:p.made] {
		found.cost += s.cost(f, digits, &found.from)
	}
	s.hits = append(s.hits, found)
}

// cost returns what a fault costs in a code of these digits, read from these
// marks.
func (s *search) cost(f flaw, digits *[length]uint64, from *[length]int8) uint8 {
	const (
		likely uint8 = iota + 1
		usual
		rare
		rarest
	)
	// beside reports whether the digit stands in the place.
	beside := func(digit uint64, place int) bool {
		return 0 <= place && place < length && digits[place] == digit
	}
	at := int(f.at)
	switch f.kind {
	case Wrong:
		return usual
	case Exchanged:
		switch f.other - f.at {
		case 1:
			return likely
		case 2:
			return rare
		}
		return rarest
	case Dropped:
		if beside(digits[at], at-1) || beside(digits[at], at+1) || torn(from[:at+1]) || torn(from[at:]) {
			return likely
		}
	case Doubled:
		m := s.reading.marks[f.other]
		digit := uint64(bits.TrailingZeros16(m.digits))
		if !m.unknown() && (beside(digit, at-1) || beside(digit, at)) {
			return likely
		}
	}
	return rare
}

// torn reports whether none of the digits at an end of the code was read.
func torn(from []int8) bool {
	for _, mark := range from {
		if mark != missing {
			return false
		}
	}
	return true
}
