package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// verb holds the flags that all commands of the mist bed have.
type verb struct {
	program
	ledgerFlag string
	dates      records.DateForm
	asJSON     bool
}

func (v *verb) register(c *cobra.Command, object string) {
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().Var(command.DateForm(&v.dates), "date-form", "how dates are written")
	c.Flags().BoolVar(&v.asJSON, "json", false, object)
}

// open opens the ledger, which must be there. The error is command.ErrReported
// when it has reported that there is none.
func (v *verb) open(c *cobra.Command) (*job, error) {
	path, err := command.LedgerPath(v.ledgerFlag)
	if err != nil {
		return nil, err
	}
	calendar, err := command.LoadCalendar()
	if err != nil {
		return nil, err
	}
	l := &job{out: printer{
		stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), asJSON: v.asJSON,
		today: v.now(), dates: v.dates, calendar: calendar,
	}}
	l.book, err = ledger.OpenExisting(c.Context(), path, ledger.WithClock(v.now))
	if errors.Is(err, ledger.ErrMissing) {
		return nil, l.out.fault(place{}, "", lookup.NoLedger, err)
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

// find finds the batch of a code that was typed or scanned, or of a batch that was named, with
// all that was entered about it. The error is command.ErrReported when it has reported that
// there is none.
func (l *job) find(ctx context.Context, text string) (lookup.Found, error) {
	found, err := lookup.Find(ctx, l.book, text)
	var none *lookup.Error
	if errors.As(err, &none) {
		return found, l.nothing(found, none, text, place{})
	}
	return found, err
}

// findNamed is find for an argument, which may be a file by mistake.
func (l *job) findNamed(ctx context.Context, arg string) (lookup.Found, error) {
	if form := lookup.Parse(arg).Form; form != lookup.Code && form != lookup.BatchName && namesFile(arg) {
		return lookup.Found{}, l.out.fault(place{}, arg, noFile, &command.HintedError{
			Err:    fmt.Errorf("%s: %s takes no pictures", arg, l.verb),
			Advice: fmt.Sprintf("read it with slipread %s, then: slipread %s CODE", arg, l.verb)})
	}
	return l.find(ctx, arg)
}

// histories returns all batches with what was entered about them. A ledger
// without any is an error.
func (l *job) histories(ctx context.Context) ([]records.History, error) {
	all, err := l.book.Histories(ctx)
	if err == nil && len(all) == 0 {
		return nil, l.out.fault(place{}, "", lookup.NotInLedger, &command.HintedError{
			Err:    fmt.Errorf("no batch is in the ledger %s", l.book.Path()),
			Advice: "were the labels printed with another ledger? Name that one with --ledger FILE"})
	}
	return all, err
}
