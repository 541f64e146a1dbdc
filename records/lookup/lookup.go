package lookup

import (
	"context"
	"errors"
	"fmt"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// Kind is why there is no record.
type Kind string

// The kinds.
const (
	WrongShape  Kind = "shape"
	WrongLength Kind = "length"
	WrongCheck  Kind = "check-digits"
	NoSuchDate  Kind = "date"
	OutOfRange  Kind = "unit"
	Illegible   Kind = "illegible"
	NotInLedger Kind = "not-in-ledger"
	NoLedger    Kind = "no-ledger"
	Ambiguous   Kind = "ambiguous"
)

// KindOf returns the kind of an error of package codes.
func KindOf(err error) Kind {
	for _, of := range []struct {
		err  error
		kind Kind
	}{
		{codes.ErrLength, WrongLength}, {codes.ErrCheckDigits, WrongCheck}, {codes.ErrDate, NoSuchDate},
		{codes.ErrUnit, OutOfRange}, {codes.ErrIllegible, Illegible},
	} {
		if errors.Is(err, of.err) {
			return of.kind
		}
	}
	return WrongShape
}

// Error is why there is no record in the ledger.
type Error struct {
	Kind Kind
	Err  error
}

func (e *Error) Error() string { return e.Err.Error() }

// Unwrap returns the cause, with its advice.
func (e *Error) Unwrap() error { return e.Err }

// Found is the result for a text.
type Found struct {
	Text
	// History and Record are those of the code in the ledger; zero if it has no such code.
	History  records.History
	Record   records.Record
	Reprints []records.Reprint
	// Carried is the record that the text itself carries, nil for none.
	Carried *records.Record
	// Candidates are the records whose codes fit a damaged one, best first.
	Candidates []Candidate
}

// Candidate is a record of the ledger whose code fits a damaged one.
type Candidate struct {
	Record  records.Record
	Faults  int // as in codes.Candidate
	Changes []codes.Change
}

// Find looks a text up in a ledger, nil for none. The error is an *Error, with which the rest
// of Found is valid too, or ledger.ErrUnusable, or that of ctx.
func Find(ctx context.Context, book *ledger.Ledger, text string) (Found, error) {
	found := Found{Text: Parse(text)}
	invalid := func() error { return &Error{KindOf(found.Invalid), fmt.Errorf("%q: %w", found.Read, found.Invalid)} }
	switch {
	case found.Tried != "" && book == nil:
		return found, &Error{NoLedger, fmt.Errorf("%q: the code is damaged, and repairing it needs a ledger", found.Read)}
	case found.Tried != "":
		var err error
		if found.Candidates, err = Candidates(ctx, book, text); err != nil {
			return found, err
		}
		return found, invalid()
	case found.Invalid != nil:
		return found, invalid()
	}
	found.Carried = carried(text, found.Code)
	if book == nil {
		return found, &Error{NoLedger, errors.New("there is no ledger")}
	}
	history, err := book.History(ctx, found.Code)
	if errors.Is(err, ledger.ErrNotIssued) {
		return found, &Error{NotInLedger, err}
	}
	if err != nil {
		return found, err
	}
	found.History, found.Record = history, records.Record{Batch: history.Batch, Code: found.Code}
	found.Reprints, err = book.Reprints(ctx, found.Code)
	return found, err
}

// Candidates returns the records of the ledger whose codes fit a damaged one, best first: only
// those with the fewest faults. The error is ledger.ErrUnusable or that of ctx.
func Candidates(ctx context.Context, book *ledger.Ledger, damaged string) ([]Candidate, error) {
	var tier []codes.Candidate // those of as many faults
	for candidate := range codes.Repair(damaged) {
		if len(tier) > 0 && tier[0].Faults != candidate.Faults {
			if found, err := inLedger(ctx, book, tier); err != nil || len(found) > 0 {
				return found, err
			}
			tier = tier[:0]
		}
		tier = append(tier, candidate)
	}
	return inLedger(ctx, book, tier)
}

// inLedger leaves out candidates whose codes were never given.
func inLedger(ctx context.Context, book *ledger.Ledger, tier []codes.Candidate) ([]Candidate, error) {
	asked := make([]codes.Code, len(tier))
	for i, candidate := range tier {
		asked[i] = candidate.Code
	}
	known, err := book.Known(ctx, asked)
	var found []Candidate
	for i, j := 0, 0; i < len(known); j++ { // both are in one order
		if known[i].Code == tier[j].Code {
			found = append(found, Candidate{known[i], tier[j].Faults, tier[j].Changes})
			i++
		}
	}
	return found, err
}
