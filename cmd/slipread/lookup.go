package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records/lookup"
)

func (p program) lookupCommand() *cobra.Command {
	v := &baseCommand{program: p}
	var marked markedName
	var deadline time.Duration
	c := &cobra.Command{
		Use:   "slipread CODE|NAME|FILE|-...",
		Short: "Show the record of a code, or find it by a name",
		Long: `Show the record of a code: the pair, the graft date, the stem or tray, the days since grafting.

Type or paste CODE, with spaces and hyphens as you like and ? for a digit that you cannot read;
26329-004 is the whole batch. FILE is a PNG or JPEG picture or a PDF. Every code on it is read. What
looks like a code but cannot be read is listed with its position and the reason. With - a scanner or
pipe sends codes, one per line, and each is answered at once.

NAME is any part of the variety, rootstock, source, grafter or note; parts of several may be mixed
in any order. Several batches are listed: first those with the whole name, then those where each
part begins a word, the newest first. If no batch has it, names with one letter wrong are found.

A damaged code is not guessed: the codes of the ledger that fit are listed, with what was changed.

--mark OUT.png writes a copy of the picture with a line round each code and the code beside it. The
line is dotted if the ledger has no such code, and broken if the code was not read. With several
files or pages, OUT-1.png is the first, OUT-2.png the second, and so on.`,
		Example: "  slipread 26329-004-0017-63\n  slipread '26329-0?4-00I7-6?'\n  slipread blue marlpit\n  slipread tray.jpg session-stems.pdf\n  slipread tray.jpg --mark seen.png\n  slipread - --json",
		Args:    atLeastOne("give a code, a name, a picture or PDF, or - for a scanner"),
		RunE: func(c *cobra.Command, args []string) error {
			path, err := command.LedgerPath(v.ledgerFlag)
			if err != nil {
				return err
			}
			marks, err := newMarks(marked, joined(args), path)
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
	c.Flags().Var(&marked, "mark", "write a copy of the picture that shows what was read where")
	c.Flags().Var(command.Duration(&deadline), "deadline", "time limit for reading each file, such as 2s (default: no limit)")
	c.Flags().BoolVar(&v.asJSON, "json", false, "write JSON: one object per line")
	return c
}

// text answers what was typed, scanned or read off a picture. It returns command.ErrReported when it has reported that
// there is no answer.
func (l *job) text(ctx context.Context, text string, at origin) (caption, error) {
	if at.argument && lookup.Parse(text).Form == lookup.Name {
		return caption{}, l.named(ctx, text)
	}
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
		return caption{notInLedger: true}, l.out.fault(at, text, none.Kind, &command.HintedError{Err: none, Advice: "slipread import adds what the card says to a ledger"})
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
	switch d, differ, old := found.Record.Batch.Shown(*found.Carried); {
	case differ && !old:
		return caption{}, l.out.fault(at, text, differs, &command.HintedError{
			Err:    fmt.Errorf("%v: the %s is %q in the ledger but %q on the card", found.Code, d.Field, d.A, d.B),
			Advice: "the card may come from another ledger that gave this code to other plants: trust neither until you know which"})
	case old:
		command.Hint(l.out.stderr, fmt.Sprintf("%v: this card is out of date: the %s is now %q, the card has %q; graftslip reprint --amended prints a new one", found.Code, d.Field, d.A, d.B))
	}
	return captionOf(found.Record.Batch), nil
}
