package entry

import (
	"fmt"
	"strings"

	"graftslip/codes"
	"graftslip/records"
)

// Form reads an entry about a unit from the fields of a form:
//
//	alive, growing, rooted, dead   a number
//	state                          one of these words, for the code of a stem
//	move                           out-of-mist, flushed or tie-removed (before: unwrapped)
//	left                           sold, planted, culled or unused
//	number                         how many left; of a stem it may be missing
//	corrects                       the number of the entry that this one replaces or undoes
//
// The error is an *Error.
func Form(unit codes.Code, get func(name string) string) (records.Entry, error) {
	e := records.Entry{Unit: unit}
	for f := range records.Dead + 1 {
		if n, said, err := formNumber(get, f.String(), f.String()); err != nil {
			return e, err
		} else if said {
			e.Say(f, n)
		}
	}
	if word := get("state"); word != "" {
		f, is := field(word)
		if !is || word != f.String() || !f.IsCount() || unit.Kind() != codes.Stem {
			return e, malformed()
		}
		e.Say(f, 1)
	}
	if word := get("move"); word != "" {
		f, is := field(word)
		if !is || !f.IsState() {
			return e, malformed()
		}
		e.Say(f, 1)
	}
	if err := formLeft(&e, get); err != nil {
		return e, err
	}
	var err error
	e.Corrects, _, err = formNumber(get, "corrects", "corrects")
	return e, err
}

// formLeft reads how many left, and why.
func formLeft(e *records.Entry, get func(string) string) error {
	n, said, err := formNumber(get, "number", "how many")
	word := get("left")
	f, is := field(word)
	switch {
	case err != nil:
		return err
	case word == "" && said: // the return key sends the number alone
		return &Error{Problem: fmt.Sprintf("what became of the %d?", n), Advice: "tap Sold, Planted, Culled alive or Label unused"}
	case word == "":
		return nil
	case !said && e.Unit.Kind() == codes.Stem:
		n = 1
	case n == 0:
		return &Error{Field: "number", Problem: "how many?", Advice: "enter the number of plants"}
	}
	if !is || f < records.Sold {
		return malformed()
	}
	e.Say(f, n)
	return nil
}

// formNumber reads the number of a form's field; messages use its label.
func formNumber(get func(string) string, name, label string) (n int, said bool, err error) {
	text := strings.TrimSpace(get(name))
	if text == "" {
		return 0, false, nil
	}
	n, is := number(text)
	if !is {
		return 0, false, &Error{Field: name, Problem: fmt.Sprintf("%s: “%.20s” is not a number", label, text), Advice: "enter a whole number"}
	}
	return n, true, nil
}

func malformed() error {
	return &Error{Code: Malformed, Problem: "this is not a valid entry", Advice: "reload the page and enter it again"}
}
