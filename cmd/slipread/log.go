package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/entry"
)

func (p program) logCommand() *cobra.Command {
	v := &baseCommand{program: p}
	var f logFlags
	c := &cobra.Command{
		Use:   "log CODE|-",
		Short: "Enter what you counted and did on a tray, a stem or a batch",
		Long: `Enter what you counted and did on a tray, a stem or a batch.

CODE may be the name of a batch, such as 26329-004. Count everything under the code, after what you
did. Leave out what you did not count. --dead means all since sticking; --growing and --rooted are
among the living. Entries are kept for ever: correct a wrong one (--correct), or undo it (--undo).

With - a hand scanner or the keyboard makes the entries. A code starts an entry; the lines after it
fill it:

  34                               34 are alive
  34 alive 12 growing 2 dead       counts and words in any order, or short: 34a 12g 2d (r: rooted)
  sold 3                           also planted, culled, unused; for one stem the word is enough
  out-of-mist                      also flushed, tie-removed
  note soft roots                  a note, to the end of the line
  alive 33                         replaces the number entered before
  done                             keeps the entry; so do the next code and the end
  forget                           drops the entry

A code with nothing after it makes no entry: its record is shown.`,
		Example: "  slipread log 26329-004-9001-36 --alive 34 --growing 12 --dead 2 --by IV\n  slipread log 26329-004-9001-36 --out-of-mist\n  slipread log --undo 17\n  slipread log -",
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
			defer l.close()
			log := &recorder{job: l, by: f.bed.By, now: p.now, at: f.at}
			if stream {
				return log.stream(c.Context(), c.InOrStdin())
			}
			return log.single(c.Context(), strings.Join(args, ""), f.entry())
		},
	}
	c.Flags().SortFlags = false
	f.register(c.Flags())
	v.register(c, "write JSON: one object for each entry")
	return c
}

// logFlags are the flags of an entry: what was seen, by whom and when.
type logFlags struct {
	bed           command.BedFlags
	said          records.Entry // but for the note
	note          string
	on            time.Time
	correct, undo int
}

func (f *logFlags) register(flags *pflag.FlagSet) {
	usage := [records.NumFields]string{
		"how many are alive", "how many of them have new growth", "how many of them have roots",
		"how many have died since sticking, discarded ones included",
		"taken out of the mist, to harden off", "the new top has made a full flush", "the tie was removed",
		"how many were sold", "how many were planted out", "how many were culled alive",
		"how many labels were never used",
	}
	for field := range records.NumFields {
		flag := flags.VarPF(&fieldValue{&f.said, field}, field.String(), "", usage[field])
		if field.IsState() {
			flag.NoOptDefVal = "true"
		}
	}
	flags.StringVar(&f.note, "note", "", "a note: `TEXT` of up to 120 letters")
	f.bed.RegisterBy(flags)
	flags.Var(command.Date(&f.on), "on", "the day you saw it (default today)")
	flags.Var(entryNumber(&f.correct), "correct", "number of a wrong entry: this one replaces it")
	flags.Var(entryNumber(&f.undo), "undo", "number of a wrong entry: it no longer counts")
	flags.Var(entryNumber(&f.undo), "withdraw", "what --undo was called")
	_ = flags.MarkHidden("withdraw") // it is there
}

// arguments checks that one code is named, or none where an entry is.
func (f *logFlags) arguments(_ *cobra.Command, args []string) error {
	switch n := len(joined(args)); {
	case n == 0 && f.correct == 0 && f.undo == 0:
		return errors.New("give the code of a tray, a stem or a batch, or - for a scanner")
	case n > 1:
		return fmt.Errorf("%d codes are given; an entry is about one", n)
	}
	return nil
}

// check finds flags that do not go together.
func (f *logFlags) check(flags *pflag.FlagSet, stream bool) error {
	if stream {
		var wrong []string
		flags.Visit(func(flag *pflag.Flag) {
			if !slices.Contains([]string{"by", "on", "json", "ledger", "date-form"}, flag.Name) {
				wrong = append(wrong, "--"+flag.Name)
			}
		})
		if len(wrong) > 0 {
			return fmt.Errorf("%s cannot go with -: enter it on the lines after a code", strings.Join(wrong, ", "))
		}
		return nil
	}
	if _, err := entry.Note(f.note); err != nil {
		return fmt.Errorf("--note: %w", err)
	}
	switch e := f.entry(); {
	case f.correct != 0 && f.undo != 0:
		return errors.New("--correct and --undo cannot go together")
	case f.undo != 0 && !e.Undoes():
		return &command.HintedError{Err: errors.New("--undo goes alone: leave out what you saw or did"), Advice: fmt.Sprintf("to replace the entry, use --correct %d", f.undo)}
	case f.correct != 0 && e.Empty():
		return &command.HintedError{Err: errors.New("--correct needs what you saw, such as --alive 34"), Advice: fmt.Sprintf("to take the entry back, use --undo %d", f.correct)}
	case e.Corrects == 0 && e.Empty():
		return errors.New("enter what you saw or did, such as --alive 34 or --out-of-mist")
	}
	return nil
}

// entry returns the entry of the flags.
func (f *logFlags) entry() records.Entry {
	e := f.said
	e.Note, _ = entry.Note(f.note) // check has refused an invalid note
	e.Corrects = max(f.correct, f.undo)
	return e
}

// at returns when it was seen: now for today, noon for other days, zero without --on.
func (f *logFlags) at(now time.Time) time.Time {
	year, month, day := f.on.Date()
	switch {
	case f.on.IsZero():
		return time.Time{}
	case f.on.Format(time.DateOnly) == now.Format(time.DateOnly):
		return now
	}
	return time.Date(year, month, day, 12, 0, 0, 0, now.Location())
}

// fieldValue is a flag's value: a field of an entry.
type fieldValue struct {
	entry *records.Entry
	field records.Field
}

// Set reads a number, or whether a state was reached.
func (v *fieldValue) Set(text string) error { return entry.Set(v.entry, v.field, text) }

func (v *fieldValue) String() string {
	n, said := v.entry.Value(v.field)
	switch {
	case v.field.IsState():
		return strconv.FormatBool(said)
	case !said:
		return ""
	}
	return strconv.Itoa(n)
}

// Type names the value in the help.
func (v *fieldValue) Type() string {
	if v.field.IsState() {
		return "bool"
	}
	return "N"
}

// entryNumber is a flag's value: the number of an entry, 0 for none.
func entryNumber(at *int) pflag.Value {
	parse := func(text string) (int, error) {
		n, err := strconv.ParseUint(text, 10, 31)
		if err != nil || n == 0 {
			return 0, errors.New("give the number of an entry, as slipread history lists it")
		}
		return int(n), nil
	}
	return command.Value(at, "NUMBER", parse, func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	})
}
