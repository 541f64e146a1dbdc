package codes

import (
	"fmt"
	"iter"
	"strings"
)

// A damaged code is tried with ever more faults, and no further than pays: with
// more left open, any reading would fit some code.
const (
	mostUnknown = 4                   // unknown digits in one reading
	mostFaults  = 2                   // faults beside them
	mostOpen    = 5                   // unknown digits + 2 × faults
	shortest    = Digits - mostFaults // characters in a reading
	longest     = Digits + mostFaults
)

// ErrIllegible: more is unknown than can be filled in.
var ErrIllegible error = &fault{
	text: "too many digits are illegible: at most 4 can be filled in, 3 if one digit is missing or extra, 1 if two are",
	hint: "type what you can read, with one ? for each digit that you cannot",
}

// Candidate is a code that a damaged one may have been.
type Candidate struct {
	Code    Code
	Faults  int      // how much went wrong beside illegible digits and letters: 0, 1 or 2
	Changes []Change // from left to right, what makes the code of the reading
}

// Repair returns the codes that read, a code as it was read off a worn label, may
// have been. They are codes that Parse would accept, and no more than that:
// only a ledger knows which of them was ever given. A reading that Parse accepts
// gives its own code and no other. In any other reading
//
//   - ?, _, * and # are illegible digits;
//   - letters are the digits that they look like: O o Q D 0, I l i | 1, S s 5,
//     B 8, Z z 2, G 6, q 9, b 6 or 8, g 6 or 9; any other letter is an illegible
//     digit;
//   - white space and hyphens between the digits are tolerated as Parse does,
//     stops, commas, colons and slashes too, and so is a symbology identifier,
//     with all that stands before it;
//   - words around the code are left out where they have no digit, ? or _, but a
//     letter that looks like no digit; of these, x alone is taken for a digit
//     even so.
//
// A fault is a digit that is wrong, two digits that were exchanged, near or far,
// a digit that was dropped, or a digit too many. Codes come as they are asked
// for: first all that need no fault, then those of one fault, then those of two,
// so that a caller who meets a code it knows can stop at the end of those with
// as many faults. An unknown digit, which is an illegible one or a letter that
// looks like two digits, leaves less room for faults: with none or one of them
// two faults are tried, with two or three one fault, with four none.
//
// Among codes of as many faults those that cost less come first, then the lower
// code. By our own judgement, without a source,
//
//	1  two neighbours exchanged; a digit missing beside its equal, or with all
//	   that stand between it and an end of the code; a digit too many beside its
//	   equal
//	2  a digit wrong
//	3  two digits exchanged over one between them; any other digit missing or
//	   too many
//	4  two digits exchanged that are further apart
//
// and the costs of two faults are added. A digit that was exchanged is not taken
// for wrong as well, since two wrong digits make the same codes. Each code comes once, with the fewest
// faults and at its lowest cost. Nothing comes of a reading that is no code;
// Tried tells why.
func Repair(read string) iter.Seq[Candidate] {
	return func(yield func(Candidate) bool) {
		if code, err := Parse(read); err == nil {
			yield(Candidate{Code: code})
			return
		}
		r, err := readingOf(read)
		if err != nil {
			return
		}
		s := newSearch(&r)
		for faults := range r.mostFaults() + 1 {
			for _, found := range s.tier(faults) {
				candidate := Candidate{Code: found.code, Faults: faults, Changes: found.changes(&r)}
				if !yield(candidate) {
					return
				}
			}
		}
	}
}

// Damage is a way in which a reading differs from the code on the label.
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
		return fmt.Sprintf("digits %d and %d were swapped", c.At, c.Other)
	case Dropped:
		return fmt.Sprintf("digit %d (%c) was missing", c.At, c.Is)
	case Doubled:
		if c.At == 0 {
			return fmt.Sprintf("an extra %c before digit 1", c.Read)
		}
		return fmt.Sprintf("an extra %c after digit %d", c.Read, c.At)
	}
	return fmt.Sprintf("digit %d is %c, read as %c", c.At, c.Is, c.Read)
}

// changes returns what makes h's code of the reading r, from left to right.
func (h *hit) changes(r *reading) []Change {
	all := make([]Change, 0, r.unknown+r.letters+int(h.made))
	digits := h.code.digits()
	for at := range Digits + 1 {
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

// Tried says in a sentence without its full stop what Repair tries with read,
// for a person whose ledger knows none of the codes that came. If Repair can try
// nothing, it returns why: ErrShape for no code at all, ErrLength for fewer than
// 12 digits or more than 16, or ErrIllegible.
func Tried(read string) (string, error) {
	if _, err := Parse(read); err == nil {
		return "the code was taken as it was read, since its check digits match", nil
	}
	r, err := readingOf(read)
	if err != nil {
		return "", err
	}
	var done []string
	if filled := r.unknown; filled == 1 {
		done = append(done, "1 digit was filled in")
	} else if filled > 1 {
		done = append(done, fmt.Sprintf("%d digits were filled in", filled))
	}
	if r.letters > 0 {
		done = append(done, "letters were read as digits")
	}
	if faults := r.faultsTried(); faults != "" {
		done = append(done, faults)
	}
	switch last := len(done) - 1; last {
	case 0:
		return done[0], nil
	case 1:
		return done[0] + ", and " + done[1], nil
	default:
		return strings.Join(done[:last], ", ") + ", and " + done[last], nil
	}
}

// faultsTried says which faults Repair looks for in r, and nothing if none.
func (r *reading) faultsTried() string {
	const more = " with one other wrong or two swapped"
	two := r.mostFaults() == 2
	switch {
	case r.mostFaults() == 0:
		return ""
	case r.count == Digits-2:
		return "two digits were taken as missing"
	case r.count == Digits+2:
		return "two digits were taken as extra"
	case r.count == Digits-1 && two:
		return "one digit was taken as missing, alone or" + more
	case r.count == Digits-1:
		return "one digit was taken as missing"
	case r.count == Digits+1 && two:
		return "one digit was taken as extra, alone or" + more
	case r.count == Digits+1:
		return "one digit was taken as extra"
	case two:
		return "up to two digits were taken as wrong, swapped, missing or extra"
	default:
		return "one digit was taken as wrong, or two as swapped"
	}
}
