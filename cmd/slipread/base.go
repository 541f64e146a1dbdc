package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// program is slipread with its clock and what reads files for it.
type program struct {
	now  func() time.Time
	open func(context.Context) (files, error)
}

// files reads the symbols of pictures and PDFs: a scan.Renderer.
type files interface {
	File(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[scan.View, error]
	Close() error
}

// openScan starts no PDF renderer before the first PDF.
func openScan(ctx context.Context) (files, error) { return scan.NewRenderer(ctx) }

// baseCommand holds the flags that all commands of the mist bed have.
type baseCommand struct {
	program
	ledgerFlag string
	dates      records.DateForm
	asJSON     bool
}

func (v *baseCommand) register(c *cobra.Command, object string) {
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().Var(command.DateForm(&v.dates), "date-form", "how dates are written")
	c.Flags().BoolVar(&v.asJSON, "json", false, object)
}

// printer returns what writes the answers of a call.
func (v *baseCommand) printer(c *cobra.Command) (printer, error) {
	calendar, err := command.LoadCalendar()
	return printer{
		stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), asJSON: v.asJSON, today: v.now(), dates: v.dates, calendar: calendar,
	}, err
}

// job is one call of a command on a ledger.
type job struct {
	book    *ledger.Ledger // nil: there is none
	missing error          // why
	warned  bool           // that there is none
	name    string         // of the command
	out     printer
	// mistyped asks whether a text is a mistyped command; "" if no command is like it.
	mistyped func(text string) string
}

// job opens the ledger, if there is one.
func (v *baseCommand) job(c *cobra.Command) (*job, error) {
	path, err := command.LedgerPath(v.ledgerFlag)
	if err != nil {
		return nil, err
	}
	l := &job{name: c.Name(), mistyped: func(text string) string { return command.LikeCommand(c, text) }}
	if l.out, err = v.printer(c); err != nil {
		return nil, err
	}
	l.book, err = ledger.OpenExisting(c.Context(), path, ledger.WithClock(v.now))
	if errors.Is(err, ledger.ErrMissing) {
		l.missing, err = err, nil
	}
	return l, err
}

// open opens the ledger, which must be there. The error is command.ErrReported
// when it has reported that there is none.
func (v *baseCommand) open(c *cobra.Command) (*job, error) {
	l, err := v.job(c)
	if err == nil && l.missing != nil {
		return nil, l.out.fault(origin{}, "", lookup.NoLedger, l.missing)
	}
	return l, err
}

// close closes the ledger.
func (l *job) close() {
	if l.book != nil {
		l.book.Close()
	}
}

// withoutLedger reports, to a person once, that there is no ledger.
func (l *job) withoutLedger(at origin, text string) error {
	if l.warned && !l.out.asJSON {
		return command.ErrReported
	}
	l.warned = true
	return l.out.fault(at, text, lookup.NoLedger, l.missing)
}

// find finds the batch of a code that was typed or scanned, or of a batch that was named, with
// all that was entered about it. The error is command.ErrReported when it has reported that
// there is none.
func (l *job) find(ctx context.Context, text string) (lookup.Found, error) {
	found, err := lookup.Find(ctx, l.book, text)
	var none *lookup.Error
	if errors.As(err, &none) {
		return found, l.notFound(found, none, text, origin{})
	}
	return found, err
}

// findNamed is find for an argument, which may be a file by mistake.
func (l *job) findNamed(ctx context.Context, arg string) (lookup.Found, error) {
	if form := lookup.Parse(arg).Form; form != lookup.Code && form != lookup.BatchName && namesFile(arg) {
		return lookup.Found{}, l.out.fault(origin{}, arg, noFile, &command.HintedError{
			Err:    fmt.Errorf("%s: slipread %s takes a code, not a picture", arg, l.name),
			Advice: fmt.Sprintf("read the picture with slipread %s, then run slipread %s CODE", arg, l.name)})
	}
	if isName(arg) {
		code, err := l.oneNamed(ctx, arg)
		if err != nil {
			return lookup.Found{}, err
		}
		arg = code.String()
	}
	return l.find(ctx, arg)
}

// notFound reports why a text has no record. It returns command.ErrReported.
func (l *job) notFound(found lookup.Found, why *lookup.Error, text string, at origin) error {
	switch {
	case why.Kind == lookup.NoLedger && found.Form != lookup.Damaged:
		return l.withoutLedger(at, text)
	case why.Kind == lookup.NoLedger:
		return l.out.fault(at, text, why.Kind, &command.HintedError{Err: why, Advice: l.missing.Error()})
	case found.Tried != "":
		return l.out.candidates(newFault(at, text, why.Kind, why), found)
	case at.argument && found.Form != lookup.Damaged && why.Kind != lookup.NotInLedger:
		return l.out.fault(at, text, why.Kind, noFileEither(why))
	}
	return l.out.fault(at, text, why.Kind, why)
}

// histories returns all batches with what was entered about them. A ledger
// without any is an error.
func (l *job) histories(ctx context.Context) ([]records.History, error) {
	all, err := l.book.Histories(ctx)
	if err == nil && len(all) == 0 {
		err = l.noBatches()
	}
	return all, err
}

// noBatches reports that the ledger is empty. It returns command.ErrReported.
func (l *job) noBatches() error {
	return l.out.fault(origin{}, "", lookup.NotInLedger, &command.HintedError{
		Err:    fmt.Errorf("the ledger %s has no batches", l.book.Path()),
		Advice: "were the labels printed from another ledger? Give it with --ledger FILE"})
}

// wanted returns the histories of a variety, a stock or a pair, or all.
func (l *job) wanted(ctx context.Context, wanted ledger.Wanted) ([]records.History, error) {
	histories, err := l.histories(ctx)
	matches := wanted.Matcher()
	batches := records.BatchesOf(histories)
	histories = slices.DeleteFunc(histories, func(h records.History) bool { return !matches(h.Batch) })
	if err != nil || len(histories) > 0 {
		return histories, err
	}
	return nil, l.out.fault(origin{}, "", lookup.NotInLedger, lookup.NoneWanted(batches, wanted))
}
