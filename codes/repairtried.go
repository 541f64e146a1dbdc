package codes

import (
	"fmt"
	"strings"
)

// Tried says in a sentence without its full stop what Repair tries with read,
// for a person whose ledger knows none of the codes that came. If Repair can try
// nothing, it returns why: ErrShape for no code at all, ErrLength for fewer than
// 12 digits or more than 16, or ErrIllegible.
func Tried(read string) (string, error) {
	if _, err := Parse(read); err == nil {
		return "the code was taken as it was read, since its check digits fit", nil
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
	const more = " with one other wrong, or two exchanged"
	two := r.mostFaults() == 2
	switch {
	case r.mostFaults() == 0:
		return ""
	case r.count == length-2:
		return "two digits were taken as missing"
	case r.count == length+2:
		return "two digits were taken as too many"
	case r.count == length-1 && two:
		return "one digit was taken as missing, alone or" + more
	case r.count == length-1:
		return "one digit was taken as missing"
	case r.count == length+1 && two:
		return "one digit was taken as too many, alone or" + more
	case r.count == length+1:
		return "one digit was taken as too many"
	case two:
		return "up to two digits were taken as wrong, exchanged, missing or too many"
	default:
		return "one digit was taken as wrong, or two as exchanged"
	}
}
