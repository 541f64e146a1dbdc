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
		Short: "Enter what was seen of a tray, a stem or a batch, and what was done with it",
		Long: `Enter what was seen of a tray, a stem or a batch, and what was done with it.

CODE may be the name of a batch, such as 26329-004. Counts are of all that the code stands for, as it stands after what was done. --dead are all that have died since sticking; --growing and
--rooted are among the living. An entry is never changed: a wrong one is corrected by another (--correct), or withdrawn (--undo).

With - entries come from a hand scanner or the keyboard. A line with a code begins one; the lines behind it say what was seen:

  34                               34 are alive
  34 alive 12 growing 2 dead       counts and words in any order; a g r d will do: 34a 12g 2d
  sold 3                           also planted, culled, unused; of the code of a stem the word alone
  out-of-mist                      also flushed, tie-removed
  note soft roots                  a note, to the end of the line
  alive 33                         another number takes the place of that before
  done                             keeps the entry, as the next code and the end do; forget drops it

A code with nothing behind it is no entry: what it stands for is shown.`,
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
	v.register(c, "an object for each entry")
	return c
}

// logFlags are the flags that say what was seen, and by whom and when.
type logFlags struct {
	bed               command.BedFlags
	said              records.Entry // but for the note
	note              string
	on                time.Time
	correct, withdraw int
}

func (f *logFlags) register(flags *pflag.FlagSet) {
	usage := [records.NumFields]string{
		"how many live", "of them, how many have new growth", "of them, how many have roots", "how many have died since sticking, with those thrown away",
		"taken from under the mist, to harden off", "the new top has made a full flush", "the wrap was taken off",
		"how many were sold now", "how many were planted out now", "how many living ones were thrown away now", "of how many labels no graft was made",
	}
	for field := range records.NumFields {
		flag := flags.VarPF(&fieldValue{&f.said, field}, field.String(), "", usage[field])
		if field.IsState() {
			flag.NoOptDefVal = "true"
		}
	}
	flags.StringVar(&f.note, "note", "", "a note: any `TEXT`")
	f.bed.RegisterBy(flags)
	flags.Var(command.Date(&f.on), "on", "the day on which it was seen (today unless you say)")
	flags.Var(entryNumber(&f.correct), "correct", "the number of an entry that was wrong: this one takes its place")
	flags.Var(entryNumber(&f.withdraw), "undo", "the number of an entry that was wrong: it no longer counts")
	flags.Var(entryNumber(&f.withdraw), "withdraw", "what --undo was called")
	_ = flags.MarkHidden("withdraw") // it is there
}

// arguments checks that one code is named, or none where an entry is.
func (f *logFlags) arguments(_ *cobra.Command, args []string) error {
	switch n := len(joined(args)); {
	case n == 0 && f.correct == 0 && f.withdraw == 0:
		return errors.New("name the code of a tray, a stem or a batch, or - for a scanner")
	case n > 1:
		return fmt.Errorf("%d codes are named, an entry is about one", n)
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
			return fmt.Errorf("%s cannot be said with -: there the lines behind a code say what was seen", strings.Join(wrong, ", "))
		}
		return nil
	}
	if _, err := entry.Note(f.note); err != nil {
		return fmt.Errorf("--note: %w", err)
	}
	switch e := f.entry(); {
	case f.correct != 0 && f.withdraw != 0:
		return errors.New("--correct and --undo exclude each other")
	case f.withdraw != 0 && !e.Undoes():
		return &command.HintedError{Err: errors.New("an entry that is withdrawn says nothing"), Advice: fmt.Sprintf("--correct %d puts another in its place", f.withdraw)}
	case f.correct != 0 && e.Empty():
		return &command.HintedError{Err: errors.New("a correction says what was seen"), Advice: fmt.Sprintf("--undo %d takes the entry back", f.correct)}
	case e.Corrects == 0 && e.Empty():
		return errors.New("say what was seen or done, such as --alive 34 or --out-of-mist")
	}
	return nil
}

// entry is what the flags say.
func (f *logFlags) entry() records.Entry {
	e := f.said
	e.Note, _ = entry.Note(f.note) // check has refused a note that is none
	e.Corrects = max(f.correct, f.withdraw)
	return e
}

// at is when it was seen: now for today, noon for other days, zero when no day
// was named.
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

// fieldValue is a flag's value: what an entry says of one of its fields.
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
			return 0, errors.New("an entry has a number from 1, as slipread history shows it")
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
