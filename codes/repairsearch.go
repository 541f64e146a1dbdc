package codes

import (
	"cmp"
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
	from   [length]int8 // which mark each digit was read from, or missing
}

// search finds the codes that a reading may have been.
//
// The fourteen digits of a code, as one number, leave remainder 1 on division by
// 97. So in each pattern all unknown digits but one are tried, and the last is
// worked out.
type search struct {
	reading *reading
	weight  [length]uint64 // what a one in each place leaves, 10^(13-place) modulo 97
	inverse [length]uint64 // weight × inverse leaves 1
	hits    []hit          // those of the tier
	known   []Code         // those of earlier tiers, in order
}

func newSearch(r *reading) *search {
	const tenth = 68 // 68 × 10 = 7 × 97 + 1
	s := &search{reading: r}
	weight, inverse := uint64(1), uint64(1)
	for i := length - 1; i >= 0; i-- {
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
	if left < max(p.count-length, length-p.count) {
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
	if p.count != length {
		return
	}
	first, second := 0, 1
	if last.kind == Exchanged {
		first, second = int(last.at), int(last.other)+1
	}
	for i := first; i < length; i++ {
		for j := second; j < length; j++ {
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
	if p.count != length {
		return
	}
	first := 0
	if last.kind == Wrong {
		first = int(last.at) + 1
	}
	for i := first; i < length; i++ {
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
