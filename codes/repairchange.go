package codes

import "fmt"

// Damage is a way in which a reading differs from the code on the tag.
type Damage uint8

// The kinds of damage. The last four are faults; the first two show in the
// reading itself.
const (
	Filled    Damage = iota + 1 // a digit was illegible
	Letter                      // a digit was read as a letter that looks like it
	Wrong                       // a digit was read as another
	Exchanged                   // two digits stood in each other's place
	Dropped                     // a digit was missing
	Doubled                     // there was a digit too many
)

// Change is one step from a reading to a code. Digits are counted from 1 to 14,
// in the code.
//
// The way back, from the code to the characters of the reading, is to put Read
// in the place of each digit Filled, Letter or Wrong, then to undo what was
// Exchanged, the last change first, then to leave out what was Dropped and to
// put in what was Doubled.
type Change struct {
	Kind  Damage
	At    int  // which digit; of two Exchanged the left one; if Doubled the digit before, 0 where there is none
	Other int  // the right one of two Exchanged, else 0
	Read  rune // the character as it was read; 0 if Exchanged or Dropped
	Is    byte // the digit of the code, '0' to '9'; 0 if Exchanged or Doubled
}

// String says in words what was changed.
func (c Change) String() string {
	switch c.Kind {
	case Exchanged:
		return fmt.Sprintf("digits %d and %d were exchanged", c.At, c.Other)
	case Dropped:
		return fmt.Sprintf("digit %d (%c) was missing", c.At, c.Is)
	case Doubled:
		if c.At == 0 {
			return fmt.Sprintf("one %c too many before digit 1", c.Read)
		}
		return fmt.Sprintf("one %c too many after digit %d", c.Read, c.At)
	}
	return fmt.Sprintf("digit %d is %c, read as %c", c.At, c.Is, c.Read)
}

// changes returns what makes h's code of the reading r, from left to right.
func (h *hit) changes(r *reading) []Change {
	all := make([]Change, 0, r.unknown+r.letters+int(h.made))
	digits := h.code.digits()
	for at := range length + 1 {
		if at > 0 {
			from, is := h.from[at-1], digits[at-1]
			switch {
			case from == missing:
				all = append(all, Change{Kind: Dropped, At: at, Is: is})
			case h.has(Wrong, at-1):
				all = append(all, Change{Kind: Wrong, At: at, Read: r.marks[from].read, Is: is})
			default:
				if kind := r.marks[from].kind(); kind != 0 {
					all = append(all, Change{Kind: kind, At: at, Read: r.marks[from].read, Is: is})
				}
			}
		}
		for _, f := range h.faults[:h.made] {
			switch {
			case f.kind == Exchanged && int(f.at)+1 == at:
				all = append(all, Change{Kind: Exchanged, At: at, Other: int(f.other) + 1})
			case f.kind == Doubled && int(f.at) == at:
				all = append(all, Change{Kind: Doubled, At: at, Read: r.marks[f.other].read})
			}
		}
	}
	return all
}

// has reports whether a fault of this kind befell place at.
func (h *hit) has(kind Damage, at int) bool {
	for _, f := range h.faults[:h.made] {
		if f.kind == kind && int(f.at) == at {
			return true
		}
	}
	return false
}
