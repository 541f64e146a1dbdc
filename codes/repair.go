package codes

import "iter"

// A damaged code is tried with ever more faults, and no further than pays: with
// more left open, any reading would fit some code.
const (
	mostUnknown = 4                   // unknown digits in one reading
	mostFaults  = 2                   // faults beside them
	mostOpen    = 5                   // unknown digits + 2 × faults
	shortest    = length - mostFaults // characters in a reading
	longest     = length + mostFaults
)

// ErrIllegible: more is unknown than can be filled in.
var ErrIllegible error = &fault{
	text: "too much is illegible: four digits can be filled in, three where a digit is missing or too many, one where two are",
	hint: "type what can be read, with one ? for each digit that cannot",
}

// Candidate is a code that a damaged one may have been.
type Candidate struct {
	Code    Code
	Faults  int      // how much went wrong beside illegible digits and letters: 0, 1 or 2
	Changes []Change // from left to right, what makes the code of the reading
}

// Repair returns the codes that read, a code as it was read off a worn tag, may
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
