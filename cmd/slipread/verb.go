package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// verb holds the flags that all commands of the mist bed have.
type verb struct {
	program
	ledgerFlag string
	dates      command.DateForm
	asJSON     bool
}

func (v *verb) register(c *cobra.Command, object string) {
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().Var(&v.dates, "date-form", "how dates are written")
	c.Flags().BoolVar(&v.asJSON, "json", false, object)
}

// open opens the ledger, which must be there. The error is command.ErrReported
// when it has reported that there is none.
func (v *verb) open(c *cobra.Command) (*lookup, error) {
	path, err := command.LedgerPath(v.ledgerFlag)
	if err != nil {
		return nil, err
	}
	calendar, err := command.LoadCalendar()
	if err != nil {
		return nil, err
	}
	l := &lookup{out: printer{
		stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), asJSON: v.asJSON,
		today: v.now(), dates: v.dates.DateForm, calendar: calendar,
	}}
	l.book, err = ledger.OpenExisting(c.Context(), path, ledger.WithClock(v.now))
	if errors.Is(err, ledger.ErrMissing) {
		return nil, l.out.fault(place{}, "", noLedger, err)
	}
	return l, err
}

// oneCode checks that the arguments name one code.
func oneCode(missing string) cobra.PositionalArgs {
	return command.Arguments(func(_ *cobra.Command, args []string) error {
		switch n := len(joined(args)); {
		case n == 0:
			return errors.New(missing)
		case n > 1:
			return fmt.Errorf("%d codes are named, one is taken at a time", n)
		}
		return nil
	})
}

// find finds the batch of a code that was typed or scanned, with all that was
// entered about it. An argument may be the name of a batch. The error is command.ErrReported when it has reported that
// there is none.
func (l *lookup) find(ctx context.Context, text string, at place) (codes.Code, records.History, error) {
	code, err := codes.FromSymbol(text)
	if err != nil && at.argument {
		if batch, cannot := codes.ParseBatch(text); cannot == nil {
			code, err = batch, nil
		} else if namesFile(text) {
			return code, records.History{}, l.out.fault(place{}, text, noFile, &command.HintedError{
				Err:    fmt.Errorf("%s: %s takes no pictures", text, l.verb),
				Advice: fmt.Sprintf("read it with slipread %s, then: slipread %s CODE", text, l.verb)})
		}
	}
	if err != nil {
		return code, records.History{}, l.repair(ctx, text, place{}, err)
	}
	history, err := l.book.History(ctx, code)
	if errors.Is(err, ledger.ErrNotIssued) {
		return code, history, l.out.fault(at, text, notInLedger, err)
	}
	return code, history, err
}

// histories returns all batches with what was entered about them. A ledger
// without any is an error.
func (l *lookup) histories(ctx context.Context) ([]records.History, error) {
	all, err := l.book.Histories(ctx)
	if err == nil && len(all) == 0 {
		return nil, l.out.fault(place{}, "", notInLedger, &command.HintedError{
			Err:    fmt.Errorf("no batch is in the ledger %s", l.book.Path()),
			Advice: "were the labels printed with another ledger? Name that one with --ledger FILE"})
	}
	return all, err
}
