package main

import (
	"fmt"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records/lookup"
)

// maybe reports a damaged code with what it may have been.
func (p printer) maybe(fault line, damaged lookup.Found) error {
	found := damaged.Candidates
	if p.asJSON {
		fault.Tried = damaged.Tried
		for _, r := range found {
			fault.May = append(fault.May, maybe{p.object(r.Record, origin{}), r.Faults, changed(r.Changes)})
		}
		return p.faultLine(fault)
	}
	err := fmt.Errorf("%q is no code as it stands", damaged.Read)
	advise := func(hint string) { err = &command.HintedError{Err: err, Advice: hint} }
	describe := func(r lookup.Candidate) string {
		text := strings.Join(p.named(r.Record), ", ")
		if len(r.Changes) > 0 {
			text += " (" + strings.Join(changed(r.Changes), "; ") + ")"
		}
		return text
	}
	const most = 12
	switch {
	case len(found) == 0:
		advise("no code of the ledger fits: " + damaged.Tried)
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
