package records

import (
	"fmt"
	"time"

	"graftslip/codes"
)

// ContradictionError says that an entry cannot be true together with one before.
type ContradictionError struct {
	Unit    codes.Code // of the entry
	Problem string     // what cannot be
	// Earlier is the entry that it is at odds with; its Number is 0 where it
	// takes several.
	Earlier Observation
}

func (e *ContradictionError) Error() string {
	text := fmt.Sprintf("%v: %s", e.Unit, e.Problem)
	if e.Earlier.Number != 0 {
		text += ": " + e.Earlier.named()
	}
	return text
}

// Hint says what to do, in one line.
func (e *ContradictionError) Hint() string {
	if e.Earlier.Number == 0 {
		return "count again; the dead are all since sticking, and those that left stay gone"
	}
	return fmt.Sprintf("count again; if the earlier entry is wrong, correct or withdraw entry %d", e.Earlier.Number)
}

// named is an entry in a message about another.
func (o Observation) named() string {
	return fmt.Sprintf("entry %d of %s, %s, says %s", o.Number, o.At.Format(time.DateOnly), unitName(o.Unit), o.Words())
}

// unitName names a unit within its batch.
func unitName(unit codes.Code) string {
	if unit.Kind() == codes.Batch {
		return "the whole batch"
	}
	return fmt.Sprintf("%v %d", unit.Kind(), unit.Number())
}

// imbalance is why entries cannot all be true.
type imbalance string

func (i imbalance) Error() string { return string(i) }

// check finds what cannot be true in the entries that were reckoned with. The
// dead stay dead: at no time may those known to be dead by then, and those known
// to be living then or later, or to have left, be more than there are.
func (r *reckoning) check(entries []Observation) error {
	for i, s := range r.steps {
		if err := s.check(entries[i]); err != nil {
			return err
		}
	}
	living := map[*part]*bound{}
	for _, p := range r.stems {
		r.bound(living, p)
	}
	for _, p := range r.trays {
		r.bound(living, p)
	}
	r.bound(living, r.whole)
	for i := len(entries) - 1; i >= 0; i-- {
		s := r.steps[i]
		if n, said := entries[i].living().Value(); said {
			lived(living, s.path, n+s.left[0])
		}
		for k, p := range s.path {
			if s.dead[k]+living[p].n > p.stems {
				return imbalance("the dead do not live again")
			}
		}
	}
	return nil
}

// check finds what is wrong with the numbers of one entry where they are added
// to those before.
func (s step) check(entry Observation) error {
	for k, p := range s.path {
		if s.dead[k]+s.left[k] > p.stems {
			return imbalance(fmt.Sprintf("%d dead and %d that left are more than the %d there were", s.dead[k], s.left[k], p.stems))
		}
	}
	if s.tooMany {
		return imbalance("more would have left than were alive")
	}
	alive, aliveSaid := entry.Alive.Value()
	dead, deadSaid := entry.Dead.Value()
	here := entry.Of - s.left[0]
	switch {
	case aliveSaid && alive > here:
		return imbalance(fmt.Sprintf("%d alive cannot be: there are %d", alive, here))
	case aliveSaid && deadSaid && (alive+dead > here || alive+dead < here-s.elsewhere):
		return imbalance(fmt.Sprintf("%d alive and %d dead are %d, of the %d that are there", alive, dead, alive+dead, here))
	}
	return nil
}

// bound is how many stems of a part were not dead at a time, at least.
type bound struct{ n, parts int }

// bound begins with those that left, who were living when they did.
func (r *reckoning) bound(living map[*part]*bound, p *part) *bound {
	if living[p] == nil {
		b := &bound{n: p.left.Left()}
		for _, each := range p.parts {
			b.parts += r.bound(living, each).n
		}
		b.n = max(b.n, b.parts)
		living[p] = b
	}
	return living[p]
}

// lived says how many of the first of a path were not dead at least.
func lived(living map[*part]*bound, path []*part, n int) {
	more := n - living[path[0]].n
	if more <= 0 {
		return
	}
	living[path[0]].n = n
	for _, p := range path[1:] {
		b := living[p]
		b.parts += more
		more = max(0, b.parts-b.n)
		b.n += more
	}
}

// contradiction names the latest entry without which the new one could be true.
func (c Course) contradiction(o Observation, why error) error {
	found := &ContradictionError{Unit: o.Unit, Problem: o.Words() + ": " + why.Error()}
	for i := len(c.valid) - 1; i >= 0; i-- {
		if c.valid[i].Number == o.Corrects && o.Corrects != 0 {
			continue
		}
		others := append(append([]Observation{}, c.valid[:i]...), c.valid[i+1:]...)
		with := standing(append(others, o))
		if reckon(c.Batch, with).check(with) == nil {
			found.Earlier = c.valid[i]
			return found
		}
	}
	return found
}
