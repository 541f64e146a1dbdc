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
	"graftslip/codes"
	"graftslip/records"
)

// logFlags are the flags that say what was seen, and by whom and when.
type logFlags struct {
	bed                           command.BedFlags
	alive, growing, rooted, dead  stems
	sold, planted, culled, unused stems
	outOfMist, flushed, unwrapped bool
	note                          string
	on                            command.Date
	correct, withdraw             entryNumber
}

func (f *logFlags) register(flags *pflag.FlagSet) {
	for _, of := range []struct {
		count       *stems
		name, usage string
	}{
		{&f.alive, "alive", "how many live"}, {&f.growing, "growing", "of them, how many have new growth"},
		{&f.rooted, "rooted", "of them, how many have roots"}, {&f.dead, "dead", "how many have died since sticking, with those thrown away"},
	} {
		flags.Var(of.count, of.name, of.usage)
	}
	flags.BoolVar(&f.outOfMist, "out-of-mist", false, "taken from under the mist, to harden off")
	flags.BoolVar(&f.flushed, "flushed", false, "the new top has flushed and flowered")
	flags.BoolVar(&f.unwrapped, "unwrapped", false, "the wrap was taken off")
	for _, of := range []struct {
		count       *stems
		name, usage string
	}{
		{&f.sold, "sold", "how many were sold now"}, {&f.planted, "planted", "how many were planted out now"},
		{&f.culled, "culled", "how many living ones were thrown away now"}, {&f.unused, "unused", "of how many labels no graft was made"},
	} {
		flags.Var(of.count, of.name, of.usage)
	}
	flags.StringVar(&f.note, "note", "", "a note: any `TEXT`")
	f.bed.RegisterBy(flags)
	flags.Var(&f.on, "on", "the day on which it was seen (today unless you say)")
	flags.Var(&f.correct, "correct", "the number of an entry that was wrong: this one takes its place")
	flags.Var(&f.withdraw, "withdraw", "the number of an entry that was wrong: it no longer counts")
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
	if _, err := plainNote(f.note); err != nil {
		return fmt.Errorf("--note: %w", err)
	}
	switch o := f.observation(); {
	case f.correct != 0 && f.withdraw != 0:
		return errors.New("--correct and --withdraw exclude each other")
	case f.withdraw != 0 && !o.Withdraws():
		return &command.HintedError{Err: errors.New("an entry that is withdrawn says nothing"), Advice: fmt.Sprintf("--correct %d puts another in its place", f.withdraw)}
	case f.correct != 0 && o.Empty():
		return &command.HintedError{Err: errors.New("a correction says what was seen"), Advice: fmt.Sprintf("--withdraw %d withdraws the entry", f.correct)}
	case o.Corrects == 0 && o.Empty():
		return errors.New("say what was seen or done, such as --alive 34 or --out-of-mist")
	}
	return nil
}

// observation is what the flags say.
func (f *logFlags) observation() records.Entry {
	number := func(s stems) int { n, _ := s.Value(); return n }
	note, _ := plainNote(f.note) // check has refused a note that is none
	return records.Entry{
		Counts: records.Counts{Alive: f.alive.Count, Growing: f.growing.Count, Rooted: f.rooted.Count, Dead: f.dead.Count},
		Moves: records.Moves{
			OutOfMist: f.outOfMist, Flushed: f.flushed, Unwrapped: f.unwrapped,
			Sold: number(f.sold), Planted: number(f.planted), Culled: number(f.culled), Unused: number(f.unused),
		},
		Note: note, Corrects: int(max(f.correct, f.withdraw)),
	}
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

// stems is a flag's value: how many stems, or not said.
type stems struct{ records.Count }

// Set reads a number.
func (s *stems) Set(text string) error {
	n, err := strconv.ParseUint(text, 10, 16)
	if err != nil || n > codes.MaxStem {
		return fmt.Errorf("a number of stems is 0 to %d", codes.MaxStem)
	}
	s.Count = records.Said(int(n))
	return nil
}

// Type names the value in the help.
func (s *stems) Type() string { return "N" }

// entryNumber is a flag's value: the number of an entry, 0 for none.
type entryNumber int

// Set reads a number.
func (e *entryNumber) Set(text string) error {
	n, err := strconv.ParseUint(text, 10, 31)
	if err != nil || n == 0 {
		return errors.New("an entry has a number from 1, as slipread history shows it")
	}
	*e = entryNumber(n)
	return nil
}

func (e *entryNumber) String() string {
	if *e == 0 {
		return ""
	}
	return strconv.Itoa(int(*e))
}

// Type names the value in the help.
func (e *entryNumber) Type() string { return "NUMBER" }
