package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
)

// repaired is a record of the ledger whose code a damaged one may have been.
type repaired struct {
	records.Record
	codes.Candidate
}

// repair answers a text that is no code: with the codes of the ledger that it
// may have been, never with one of them as if it were read.
func (l *lookup) repair(ctx context.Context, text string, at place, wrong error) error {
	read := strings.TrimSpace(text)
	tried, cannot := codes.Tried(text)
	switch {
	case errors.Is(cannot, codes.ErrIllegible):
		return l.out.fault(at, text, tooLittle, fmt.Errorf("%q: %w", read, cannot))
	case cannot != nil:
		return l.out.fault(at, text, kindOf(wrong), at.noFileEither(fmt.Errorf("%q: %w", read, wrong)))
	case l.book == nil:
		return l.out.fault(at, text, noLedger, &command.HintedError{
			Err: fmt.Errorf("%q: it is damaged, and without a ledger nobody knows what it was", read), Advice: l.missing.Error()})
	}
	found, err := l.candidates(ctx, text)
	if err != nil {
		return err
	}
	return l.out.maybe(newFault(at, text, kindOf(wrong), fmt.Errorf("%q: %w", read, wrong)), found, tried)
}

// candidates returns the codes of the ledger that a damaged one may have been,
// best first: those that need the fewest faults, and no others.
func (l *lookup) candidates(ctx context.Context, text string) ([]repaired, error) {
	var tier []codes.Candidate
	held := func() ([]repaired, error) {
		of := make([]codes.Code, len(tier))
		for i, candidate := range tier {
			of[i] = candidate.Code
		}
		known, err := l.book.Known(ctx, of)
		var found []repaired
		for i, j := 0, 0; i < len(known); j++ { // both are in one order
			if known[i].Code == tier[j].Code {
				found = append(found, repaired{known[i], tier[j]})
				i++
			}
		}
		return found, err
	}
	for candidate := range codes.Repair(text) {
		if len(tier) > 0 && tier[0].Faults != candidate.Faults {
			if found, err := held(); err != nil || len(found) > 0 {
				return found, err
			}
			tier = tier[:0]
		}
		tier = append(tier, candidate)
	}
	return held()
}

// maybe reports a damaged code with what it may have been.
func (p printer) maybe(fault line, found []repaired, tried string) error {
	if p.asJSON {
		fault.Tried = tried
		for _, r := range found {
			fault.May = append(fault.May, maybe{p.object(r.Record, origin{}), r.Faults, changed(r.Changes)})
		}
		return p.faultLine(fault)
	}
	err := fmt.Errorf("%q is no code as it stands", fault.Read)
	advise := func(hint string) { err = &command.HintedError{Err: err, Advice: hint} }
	describe := func(r repaired) string {
		text := strings.Join(p.named(r.Record), ", ")
		if len(r.Changes) > 0 {
			text += " (" + strings.Join(changed(r.Changes), "; ") + ")"
		}
		return text
	}
	const most = 12
	switch {
	case len(found) == 0:
		advise("no code of the ledger fits: " + tried)
		advise("read the label once more, with ? for a digit that cannot be read")
	case len(found) == 1:
		advise("probably " + describe(found[0]))
	default:
		advise(fmt.Sprintf("%d codes of the ledger fit, the likeliest first: look at the plant and its tray to tell which it is", len(found)))
		for _, r := range found[:min(most, len(found))] {
			advise(describe(r))
		}
		if len(found) > most {
			advise(fmt.Sprintf("and %d more: read one more digit, if you can", len(found)-most))
		}
	}
	command.Report(p.stderr, err)
	return command.ErrReported
}

func changed(changes []codes.Change) []string {
	said := make([]string, len(changes))
	for i, change := range changes {
		said[i] = change.String()
	}
	return said
}
