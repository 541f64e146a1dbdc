package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

func (p program) lookupCommand() *cobra.Command {
	var ledgerFlag string
	var dates command.DateForm
	var marked markedName
	var deadline command.Duration
	asJSON := false
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
			path, err := command.LedgerPath(ledgerFlag)
			if err != nil {
				return err
			}
			book, err := ledger.OpenExisting(c.Context(), path)
			missing := err
			switch {
			case errors.Is(err, ledger.ErrMissing): // cards may carry their own records
			case err != nil:
				return err
			default:
				defer book.Close()
			}
			calendar, err := command.LoadCalendar()
			if err != nil {
				return err
			}
			out := printer{stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), asJSON: asJSON, today: p.now(), dates: dates.DateForm, calendar: calendar, tellFile: len(joined(args)) > 1}
			l := &lookup{book: book, missing: missing, out: out}
			failed := p.read(c.Context(), args, c.InOrStdin(), &reader{out: out, handle: l.text, deadline: time.Duration(deadline), marks: marks})
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
	command.LedgerFlag(c.Flags(), &ledgerFlag)
	c.Flags().Var(&dates, "date-form", "how dates are written")
	c.Flags().Var(&marked, "mark", "draw on the picture what was read where; the name of the PNG file to write")
	c.Flags().Var(&deadline, "deadline", "how long the reading of a file may take, such as 2s (no limit unless you say)")
	c.Flags().BoolVar(&asJSON, "json", false, "an object a line")
	return c
}

// lookup answers texts from a ledger, if there is one.
type lookup struct {
	book    *ledger.Ledger // nil: there is none
	missing error          // why
	told    bool           // that there is none
	verb    string         // that was called, where it takes a code and no pictures
	out     printer
}

// withoutLedger reports, to a person once, that there is no ledger.
func (l *lookup) withoutLedger(at place, text string) error {
	if l.told && !l.out.asJSON {
		return command.ErrReported
	}
	l.told = true
	return l.out.fault(at, text, noLedger, l.missing)
}

// text answers what was typed, scanned or read off a picture. It returns command.ErrReported when it has reported that
// there is no answer.
func (l *lookup) text(ctx context.Context, text string, at place) (said answer, err error) {
	code, err := codes.FromSymbol(text)
	if err != nil {
		batch, cannot := codes.ParseBatch(text)
		if cannot != nil {
			return answer{}, l.repair(ctx, text, at, err)
		}
		code = batch
	}
	carried, err := records.ParseLine(text)
	carries := err == nil && carried.Code == code
	if l.book == nil {
		if carries {
			return pairOf(carried.Batch), l.out.record(carried, origin{place: at, carried: true}, nil, nil)
		}
		return answer{}, l.withoutLedger(at, text)
	}
	history, err := l.book.History(ctx, code)
	switch {
	case errors.Is(err, ledger.ErrNotIssued) && carries:
		if err := l.out.record(carried, origin{place: at, carried: true}, nil, nil); err != nil {
			return answer{}, err
		}
		return answer{notInLedger: true}, l.out.fault(at, text, notInLedger, &command.HintedError{Err: err, Advice: "slipread import takes what the card says into a ledger"})
	case errors.Is(err, ledger.ErrNotIssued):
		return answer{notInLedger: true}, l.out.fault(at, text, notInLedger, err)
	case err != nil:
		return answer{}, err
	}
	reprints, err := l.book.Reprints(ctx, code)
	if err != nil {
		return answer{}, err
	}
	record := records.Record{Batch: history.Batch, Code: code}
	var stands *standing
	if len(history.Entries(code)) > 0 {
		stands = l.out.standingOf(history, code)
	}
	if err := l.out.record(record, origin{place: at}, reprints, stands); err != nil {
		return answer{}, err
	}
	if carries {
		if differs := difference(record.Batch, carried.Batch, "in the ledger", "on the card"); differs != "" {
			return answer{}, l.out.fault(at, text, differsFromLedger, &command.HintedError{
				Err:    fmt.Errorf("%v: %s", code, differs),
				Advice: "the card may come from another ledger, which has given this code to other plants: find out which it is before you trust either"})
		}
	}
	return pairOf(record.Batch), nil
}

// difference says in which of what never changes two batches of one code are
// not the same, "" when they are in all; a says and b says are words for them.
func difference(a, b records.Batch, aSays, bSays string) string {
	for _, d := range records.Differences(a, b) {
		if d.Lasting {
			return fmt.Sprintf("%s %s %q, %s %q", d.Field, aSays, d.A, bSays, d.B)
		}
	}
	return ""
}
