package records

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"graftslip/codes"
)

// named names an entry in a message about another.
func (e Entry) named() string {
	return fmt.Sprintf("entry %d of %s, %s (%s)", e.Number, e.At.Format(time.DateOnly), unitName(e.Unit), e.Words())
}

// unitName names a unit within its batch.
func unitName(unit codes.Code) string {
	if unit.Kind() == codes.Batch {
		return "whole batch"
	}
	return fmt.Sprintf("%v %d", unit.Kind(), unit.Number())
}

// imbalance is why entries cannot all be true.
type imbalance string

func (i imbalance) Error() string { return string(i) }

// check finds what cannot be true in the entries added up. The dead stay dead: those
// known to be dead at a time, and those known to be alive then or later, or to have left,
// cannot be more than there are.
func (r *reckoning) check(entries []Entry) error {
	for i, s := range r.steps {
		if err := s.check(entries[i]); err != nil {
			return err
		}
	}
	living, undead := r.bounds(), r.bounds()
	for i := len(entries) - 1; i >= 0; i-- {
		s := r.steps[i]
		if n, said := entries[i].living().Value(); said {
			living.raise(s, n+s.left[0], s.own)
			undead.raise(s, n+s.left[0], nil)
		}
		if dead, said := entries[i].Dead.Value(); said { // all that had died by then
			undead.raise(s, entries[i].Of-dead, nil)
		}
		for k, p := range s.path {
			if living[p].n > p.stems {
				return imbalance(fmt.Sprintf("with the %d that left, that makes more than %s", s.left[k], Counted(p.stems, "stem")))
			}
			if s.dead[k]+max(living[p].n, undead[p].n) > p.stems {
				return imbalance("dead plants cannot come back")
			}
		}
	}
	return nil
}

// check finds what is wrong with the numbers of one entry, added to those before.
func (s step) check(entry Entry) error {
	for k, p := range s.path {
		if s.dead[k]+s.left[k] > p.stems {
			return imbalance(fmt.Sprintf("%d dead and %d gone make more than the %d there were", s.dead[k], s.left[k], p.stems))
		}
	}
	if s.tooMany {
		return imbalance("more left than were alive")
	}
	alive, aliveSaid := entry.Alive.Value()
	dead, deadSaid := entry.Dead.Value()
	least := entry.Of - s.left[0]
	here := least + min(s.left[0], s.path[0].stems-entry.Of) // those that left may be among the stems that came later
	switch {
	case aliveSaid && alive > here:
		return imbalance(fmt.Sprintf("at most %d can be alive", here))
	case aliveSaid && deadSaid && (alive+dead > here || alive+dead < least-s.elsewhere):
		return imbalance(fmt.Sprintf("%d alive and %d dead make %d, not %d", alive, dead, alive+dead, here))
	}
	return nil
}

// bound is how many stems of a part were not dead at a time, at least.
type bound struct{ n, parts int }

// bounds are those of all parts, at the time of a step or later.
type bounds map[*part]*bound

// bounds begins with those that left, who were living when they did.
func (r *reckoning) bounds() bounds {
	all := bounds{}
	all.begin(r.whole)
	return all
}

func (b bounds) begin(p *part) int {
	own := &bound{n: p.left.Left()}
	for _, each := range p.parts {
		own.parts += b.begin(each)
	}
	own.n = max(own.n, own.parts)
	b[p] = own
	return own.n
}

// raise sets how many of the unit of a step were not dead, at least. If they were alive,
// each unit of the path also held those that had left it, whose place is unknown: gone.
func (b bounds) raise(s step, n int, gone []int) {
	more := n - b[s.path[0]].n
	if more <= 0 {
		return
	}
	b[s.path[0]].n = n
	for k, p := range s.path[1:] {
		above := b[p]
		above.parts += more
		n := above.parts
		if gone != nil {
			n += gone[k+1]
		}
		more = max(0, n-above.n)
		above.n += more
	}
}

// enoughToTry entries are left out one by one to find the one that contradicts a new
// entry, in the time of a blink.
const enoughToTry = 200

// contradiction names the latest entry without which the new one could be true, or else
// the latest that contradicts it by itself.
func (h History) contradiction(o Entry, why error) error {
	found := &EntryError{Unit: o.Unit, Contradicts: true, Problem: why.Error(), words: o.Words()}
	atOdds := func(entries ...[]Entry) bool {
		with := History{Batch: h.Batch, entries: append(slices.Concat(entries...), o)}
		with.add()
		return with.sums.check(with.valid) != nil
	}
	first, last := 0, len(h.valid)-1
	if len(h.valid) > enoughToTry { // all from the one on are at odds with the new one, as a rule, and so are all up to it
		first = sort.Search(len(h.valid), func(i int) bool { return !atOdds(h.valid[i+1:]) })
		last = min(last, sort.Search(len(h.valid), func(i int) bool { return atOdds(h.valid[:i+1]) }))
	}
	for i := last; i >= max(first, last-enoughToTry); i-- {
		corrected := o.Corrects != 0 && h.valid[i].Number == o.Corrects
		if !corrected && !atOdds(h.valid[:i], h.valid[i+1:]) {
			found.Earlier = h.valid[i]
			return found
		}
	}
	if atOdds() {
		return found // by itself
	}
	for i := len(h.valid) - 1; i >= 0; i-- { // several contradict it: the latest that does by itself
		if h.valid[i].Number != o.Corrects && atOdds(h.valid[i:i+1]) {
			found.Earlier = h.valid[i]
			break
		}
	}
	return found
}
