package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

func (p program) logCommand() *cobra.Command {
	v := &verb{program: p}
	var f logFlags
	c := &cobra.Command{
		Use:   "log CODE|-",
		Short: "Enter what was seen of a tray, a stem or a batch, and what was done with it",
		Long: `Enter what was seen of a tray, a stem or a batch, and what was done with it.

CODE may be the name of a batch, such as 26329-004. Counts are of all that the code stands for, as it stands after what was done. --dead are all that have died since sticking; --growing and
--rooted are among the living. An entry is never changed: a wrong one is corrected by another (--correct), or withdrawn (--withdraw).

With - entries come from a hand scanner or the keyboard. A line with a code begins one; the lines behind it say what was seen:

  34                               34 are alive
  34 alive 12 growing 2 dead       counts and words in any order; a g r d will do: 34a 12g 2d
  sold 3                           also planted, culled, unused; of the code of a stem the word alone
  out-of-mist                      also flushed, unwrapped
  note soft roots                  a note, to the end of the line
  alive 33                         another number takes the place of that before
  done                             keeps the entry, as the next code and the end do; forget drops it

A code with nothing behind it is no entry: what it stands for is shown.`,
		Example: "  slipread log 26329-004-9001-36 --alive 34 --growing 12 --dead 2 --by IV\n  slipread log 26329-004-9001-36 --out-of-mist\n  slipread log --withdraw 17\n  slipread log -",
		Args:    command.Arguments(f.arguments),
		RunE: func(c *cobra.Command, args []string) error {
			args = joined(args)
			stream := len(args) == 1 && args[0] == "-"
			if err := f.check(c.Flags(), stream); err != nil {
				return &command.UsageError{Err: err}
			}
			l, err := v.open(c)
			if err != nil {
				return err
			}
			defer l.book.Close()
			l.verb = c.Name()
			log := &logger{job: l, by: f.bed.By, now: p.now, at: f.at}
			if stream {
				return log.stream(c.Context(), c.InOrStdin())
			}
			return log.single(c.Context(), strings.Join(args, ""), f.entry())
		},
	}
	c.Flags().SortFlags = false
	f.register(c.Flags())
	v.register(c, "an object for each entry")
	return c
}

// logger enters what was seen.
type logger struct {
	*job
	by  string
	now func() time.Time
	at  func(now time.Time) time.Time // when it was seen; zero: when it is entered
}

// single enters one entry about a code; a correction without one is about what
// the wrong entry was about.
func (l *logger) single(ctx context.Context, text string, o records.Entry) error {
	if text != "" {
		found, err := l.findNamed(ctx, text)
		if err != nil {
			return err
		}
		o.Unit = found.Code
	}
	if o.Unit.IsZero() || o.Withdraws() {
		wrong, is, err := l.book.Entry(ctx, o.Corrects)
		switch {
		case err != nil:
			return err
		case !is:
			return l.out.fault(place{}, text, refused, &command.HintedError{
				Err: fmt.Errorf("there is no entry %d", o.Corrects), Advice: "slipread history CODE shows the entries with their numbers"})
		case !o.Unit.IsZero() && o.Unit != wrong.Unit:
			return l.out.fault(place{}, text, refused, &command.HintedError{
				Err: fmt.Errorf("entry %d is about %v, not about %v", o.Corrects, wrong.Unit, o.Unit), Advice: "leave the code out, or name another entry"})
		}
		o.Unit = wrong.Unit
	}
	return l.keep(ctx, text, o)
}

// keep enters an entry and answers it. It returns command.ErrReported when it
// has reported that it was refused.
func (l *logger) keep(ctx context.Context, text string, o records.Entry) error {
	l.out.today = l.now()
	o.Key, o.By, o.At = records.NewKey(), l.by, l.at(l.out.today)
	kept, _, err := l.book.Log(ctx, o)
	if kind, refused := refusalOf(err); refused {
		return l.out.fault(place{}, text, kind, err)
	}
	if err != nil {
		return err
	}
	history, err := l.book.History(ctx, kept.Unit)
	if err != nil {
		return err
	}
	if err := l.out.entry(history, kept); err != nil || l.out.asJSON {
		return err
	}
	if same, is := saidBefore(history, kept); is {
		command.Hint(l.out.stderr, fmt.Sprintf("entry %d said the same %s; if it is the same, slipread log --withdraw %d", same.Number, l.out.ago(same, kept), kept.Number))
	}
	return nil
}

// enteredTwice is within which time an entry that says the same may be the same,
// entered once more by mistake. Our own choice.
const enteredTwice = 10 * time.Minute

// saidBefore returns the entry before one about the same code, where it says the
// same of the same time.
func saidBefore(history records.History, entry records.Entry) (before records.Entry, is bool) {
	for _, other := range history.Entries(entry.Unit) {
		if other.Unit == entry.Unit && other.Number < entry.Number && other.Number > before.Number {
			before, is = other.Entry, other.CorrectedBy == 0
		}
	}
	apart := entry.At.Sub(before.At)
	return before, is && before.Words() == entry.Words() && 0 <= apart && apart <= enteredTwice
}

// ago says how long before an entry another was seen that says the same.
func (p printer) ago(before, entry records.Entry) string {
	switch minutes := int(entry.At.Sub(before.At).Minutes()); {
	case p.today.Sub(entry.At) > enteredTwice:
		return "of " + p.dates.Format(entry.At)
	case minutes > 0:
		return records.Counted(minutes, "minute") + " ago"
	}
	return "just now"
}

// refusalOf tells why the ledger refused an entry, from what ends the job.
func refusalOf(err error) (kind lookup.Kind, is bool) {
	var entry *records.EntryError
	var contradiction *records.ContradictionError
	switch {
	case errors.As(err, &entry):
		return refused, true
	case errors.As(err, &contradiction):
		return contradicts, true
	case errors.Is(err, ledger.ErrNotIssued):
		return lookup.NotInLedger, true
	}
	return "", false
}
