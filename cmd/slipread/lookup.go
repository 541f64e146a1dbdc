package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/lookup"
)

func (p program) lookupCommand() *cobra.Command {
	v := &baseCommand{program: p}
	var marked markedName
	var deadline time.Duration
	c := &cobra.Command{
		Use:   "slipread CODE|FILE|-...",
		Short: "Show what a code stands for",
		Long: `Show what a code stands for: the pair, the date, the stem or tray, the days since grafting.

CODE is typed or pasted, spaces and hyphens as you like, with ? for a digit that cannot be read; 26329-004 is the whole batch. FILE is a PNG or JPEG picture or a PDF:
every code on it is read, and what looks like a code and cannot be read is named with its place and the reason. With - codes come from a
scanner or a pipe, one a line, and each is answered at once.

A code that is damaged is not guessed: those of the ledger that it may have been are listed, with what was changed.

--mark OUT.png writes the picture once more, with a line round each code and the code beside it; one that is not in the ledger has
a dotted line, what was not read a broken one. With several files, or a PDF of several pages, OUT-1.png belongs to the first file or page, OUT-2.png to the second, and so on.`,
		Example: "  slipread 26329-004-0017-63\n  slipread '26329-0?4-00I7-6?'\n  slipread tray.jpg session-stems.pdf\n  slipread tray.jpg --mark seen.png\n  slipread - --json",
		Args:    atLeastOne("name a code, a picture or PDF, or - for a scanner"),
		RunE: func(c *cobra.Command, args []string) error {
			marks, err := newMarks(marked, joined(args))
			if err != nil {
				return err
			}
			defer marks.discard()
			l, err := v.job(c)
			if err != nil {
				return err
			}
			defer l.close()
			l.out.showFile = len(joined(args)) > 1
			failed := p.read(c.Context(), args, c.InOrStdin(), &reader{out: l.out, handle: l.text, deadline: deadline, marks: marks})
			if failed != nil && !errors.Is(failed, command.ErrReported) {
				return failed
			}
			if err := marks.keep(); err != nil {
				return err
			}
			return failed
		},
	}
	c.Flags().SortFlags = false
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().Var(command.DateForm(&v.dates), "date-form", "how dates are written")
	c.Flags().Var(&marked, "mark", "draw on the picture what was read where; the name of the PNG file to write")
	c.Flags().Var(command.Duration(&deadline), "deadline", "how long the reading of a file may take, such as 2s (no limit unless you say)")
	c.Flags().BoolVar(&v.asJSON, "json", false, "an object a line")
	return c
}

// text answers what was typed, scanned or read off a picture. It returns command.ErrReported when it has reported that
// there is no answer.
func (l *job) text(ctx context.Context, text string, at origin) (caption, error) {
	found, err := lookup.Find(ctx, l.book, text)
	var none *lookup.Error
	switch {
	case errors.As(err, &none) && found.Carried != nil:
		carried := at
		carried.carried = true
		if err := l.out.record(*found.Carried, carried, nil, nil); err != nil {
			return caption{}, err
		}
		if none.Kind == lookup.NoLedger {
			return captionOf(found.Carried.Batch), nil
		}
		return caption{notInLedger: true}, l.out.fault(at, text, none.Kind, &command.HintedError{Err: none, Advice: "slipread import takes what the card says into a ledger"})
	case errors.As(err, &none):
		return caption{notInLedger: none.Kind == lookup.NotInLedger}, l.notFound(found, none, text, at)
	case err != nil:
		return caption{}, err
	}
	var s *status
	if len(found.History.Entries(found.Code)) > 0 {
		s = l.out.statusOf(found.History, found.Code)
	}
	if err := l.out.record(found.Record, at, found.Reprints, s); err != nil || found.Carried == nil {
		return captionOf(found.Record.Batch), err
	}
	if d, differ := records.LastingDifference(found.Record.Batch, found.Carried.Batch); differ {
		return caption{}, l.out.fault(at, text, differs, &command.HintedError{
			Err:    fmt.Errorf("%v: %s in the ledger %q, on the card %q", found.Code, d.Field, d.A, d.B),
			Advice: "the card may come from another ledger, which has given this code to other plants: find out which it is before you trust either"})
	}
	return captionOf(found.Record.Batch), nil
}
