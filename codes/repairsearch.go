package codes

import (
	"cmp"
	"math/bits"
	"slices"
)

// missing is what a digit was read from if it was dropped.
const missing = -1

// flaw is one fault of a reading. Places are counted from 0.
type flaw struct {
	kind  Damage
	at    int8 // the place; of two Exchanged the left one; if Doubled how many digits stand before
	other int8 // the right place of two Exchanged; which mark is Doubled
}

// slot is a place of a code that is being made of a reading.
type slot struct {
	digits uint16 // those that may stand there
	from   int8   // the mark that it was read from, or missing
	moved  bool   // exchanged with another
}

// pattern is a reading with some faults undone.
type pattern struct {
	slots  [longest]slot
	count  int
	faults [mostFaults]flaw
	made   uint8
}

// hit is a code that a pattern fits.
type hit struct {
	code   Code
	order  int32 // in which it was found, for the same choice each time
	cost   uint8
	made   uint8 // faults
	faults [mostFaults]flaw
	from   [Digits]int8 // which mark each digit was read from, or missing
}

// search finds the codes that a reading may have been.
//
// The fourteen digits of a code, as one number, leave remainder 1 on division by
// 97. So in each pattern all unknown digits but one are tried, and the last is
// worked out.
type search struct {
	reading *reading
	weight  [Digits]uint64 // what a one in each place leaves, 10^(13-place) modulo 97
	inverse [Digits]uint64 // weight × inverse leaves 1
	hits    []hit          // those of the tier
	known   []Code         // those of earlier tiers, in order
}

func newSearch(r *reading) *search {
	const tenth = 68 // 68 × 10 = 7 × 97 + 1
	s := &search{reading: r}
	weight, inverse := uint64(1), uint64(1)
	for i := Digits - 1; i >= 0; i-- {
		s.weight[i], s.inverse[i] = weight, inverse
		weight, inverse = weight*10%modulus, inverse*tenth%modulus
	}
	return s
}

// tier returns the codes that need so many faults and were not found with
// fewer, in the order of their costs, then of the codes. It must be asked for
// one number after the other; what it returns holds until the next.
func (s *search) tier(faults int) []hit {
	p := pattern{count: s.reading.count}
	for i, m := range s.reading.marks[:s.reading.count] {
		p.slots[i] = slot{digits: m.digits, from: int8(i)}
	}
	s.hits = s.hits[:0]
	s.spread(&p, faults)
	slices.SortFunc(s.hits, func(a, b hit) int {
		if a.code != b.code {
			return Compare(a.code, b.code)
		}
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.order, b.order))
	})
	s.hits = slices.CompactFunc(s.hits, func(a, b hit) bool { return a.code == b.code })
	s.hits = slices.DeleteFunc(s.hits, func(h hit) bool {
		_, found := slices.BinarySearchFunc(s.known, h.code, Compare)
		return found
	})
	for _, h := range s.hits {
		s.known = append(s.known, h.code)
	}
	slices.SortFunc(s.known, Compare)
	slices.SortFunc(s.hits, func(a, b hit) int {
		if a.cost != b.cost {
			return cmp.Compare(a.cost, b.cost)
		}
		return Compare(a.code, b.code)
	})
	return s.hits
}

// spread undoes so many more faults in p, in every way, and solves what comes
// of it; it leaves p as it was. Faults are undone in one order, by kind and
// place, since another order makes nothing that fewer or other faults do not
// make as well.
func (s *search) spread(p *pattern, left int) {
	if left < max(p.count-Digits, Digits-p.count) {
		return
	}
	if left == 0 {
		s.solve(p)
		return
	}
	var last flaw
	if p.made > 0 {
		last = p.faults[p.made-1]
	}
	switch last.kind {
	case 0, Doubled:
		s.double(p, last, left)
		fallthrough
	case Dropped:
		s.drop(p, last, left)
		fallthrough
	case Exchanged:
		s.exchange(p, last, left)
		fallthrough
	case Wrong:
		s.wrong(p, last, left)
	}
}

// double takes each mark for one too many.
func (s *search) double(p *pattern, last flaw, left int) {
	before := *p
	for i := int(last.at); i < before.count; i++ {
		p.blame(flaw{Doubled, int8(i), p.slots[i].from})
		copy(p.slots[i:], before.slots[i+1:before.count])
		p.count--
		s.spread(p, left-1)
		*p = before
	}
}

// drop takes a digit for missing at each place.
func (s *search) drop(p *pattern, last flaw, left int) {
	if p.count == longest {
		return
	}
	first := 0
	if last.kind == Dropped {
		first = int(last.at) + 1
	}
	before := *p
	for i := first; i <= before.count; i++ {
		// The digit too many moves with what stands before it.
		for f := range p.faults[:p.made] {
			if doubled := &p.faults[f]; doubled.kind == Doubled && i < int(doubled.at) {
				doubled.at++
			}
		}
		p.blame(flaw{Dropped, int8(i), 0})
		copy(p.slots[i+1:], before.slots[i:before.count])
		p.slots[i] = slot{digits: anyDigit, from: missing}
		p.count++
		s.spread(p, left-1)
		*p = before
	}
}

// exchange takes each two digits for exchanged. A digit that is missing cannot
// be one of them: a missing and a wrong digit make the same codes.
func (s *search) exchange(p *pattern, last flaw, left int) {
	if p.count != Digits {
		return
	}
	first, second := 0, 1
	if last.kind == Exchanged {
		first, second = int(last.at), int(last.other)+1
	}
	for i := first; i < Digits; i++ {
		for j := second; j < Digits; j++ {
			a, b := p.slots[i], p.slots[j]
			if a.digits == b.digits || a.from == missing || b.from == missing {
				continue
			}
			p.blame(flaw{Exchanged, int8(i), int8(j)})
			p.slots[i], p.slots[j] = slot{b.digits, b.from, true}, slot{a.digits, a.from, true}
			s.spread(p, left-1)
			p.slots[i], p.slots[j] = a, b
			p.made--
		}
		second = i + 2
	}
}

// wrong takes each digit for wrong: it is any but those that were read. A digit
// that was exchanged is not wrong as well: two wrong digits make the same codes.
func (s *search) wrong(p *pattern, last flaw, left int) {
	if p.count != Digits {
		return
	}
	first := 0
	if last.kind == Wrong {
		first = int(last.at) + 1
	}
	for i := first; i < Digits; i++ {
		at := &p.slots[i]
		if at.digits == anyDigit || at.moved {
			continue
		}
		p.blame(flaw{Wrong, int8(i), 0})
		at.digits ^= anyDigit
		s.spread(p, left-1)
		at.digits ^= anyDigit
		p.made--
	}
}

// blame adds a fault to those of p.
func (p *pattern) blame(f flaw) {
	p.faults[p.made] = f
	p.made++
}

// solve adds the codes that fit p to s.hits.
func (s *search) solve(p *pattern) {
	var (
		digits [Digits]uint64
		open   [Digits]int // the places that may hold more than one digit
		count  int
		sum    uint64 // what the other places leave, not reduced
	)
	for i, at := range p.slots[:Digits] {
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
func (s *search) fill(p *pattern, digits *[Digits]uint64, open []int, sum uint64) {
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
func (s *search) add(p *pattern, digits *[Digits]uint64) {
	number := uint64(0)
	for _, digit := range digits {
		number = number*10 + digit
	}
	code, err := fromNumber(number)
	if err != nil {
		return
	}
	found := hit{code: code, order: int32(len(s.hits)), faults: p.faults, made: p.made}
	for i, at := range p.slots[:Digits] {
		found.from[i] = at.from
	}
	for _, f := range p.faults[:p.made] {
		found.cost += s.cost(f, digits, &found.from)
	}
	s.hits = append(s.hits, found)
}

// cost returns what a fault costs in a code of these digits, read from these
// marks.
func (s *search) cost(f flaw, digits *[Digits]uint64, from *[Digits]int8) uint8 {
	const (
		likely uint8 = iota + 1
		usual
		rare
		rarest
	)
	// beside reports whether the digit stands in the place.
	beside := func(digit uint64, place int) bool {
		return 0 <= place && place < Digits && digits[place] == digit
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
