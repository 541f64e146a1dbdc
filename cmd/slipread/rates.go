package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/plan/forecast"
)

// ratesFlags are the flags of "rates".
type ratesFlags struct {
	by             forecast.Trait
	level          float64 // of intervals, 0-1
	since, until   time.Time
	variety, stock string
	plot           string
	csv            string
}

func (p program) ratesCommand() *cobra.Command {
	v := &baseCommand{program: p}
	f := ratesFlags{by: forecast.ByPair, level: usualLevel}
	c := &cobra.Command{
		Use:   "rates",
		Short: "Compare how many grafts became plants, by pair, stock, grafter and so on",
		Long: `Compare how many grafts became plants, in the batches whose outcome is known: tie removed, sold,
planted or lost. The largest share comes first, with its interval (Wilson's).

For pairs, the list also gives the share expected of the next batch, with a range that holds nine of
ten. It is learned from all batches: a pair with few batches leans on its stock and its variety.

"Within chance of the first" marks a group whose difference from the first may be luck. The test
allows for batches of one group that differ, once a group has several batches.`,
		Example: "  slipread rates\n  slipread rates --for grafter --since 2026-11-01 --plot grafters.png\n  slipread rates --for stock --csv -",
		Args:    command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			if err := f.check(v.asJSON); err != nil {
				return &command.UsageError{Err: err}
			}
			l, err := v.open(c)
			if err != nil {
				return err
			}
			defer l.close()
			return l.rates(c.Context(), f)
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.Var(trait(&f.by), "for", "what to compare")
	flags.Var(level(&f.level), "level", "confidence level of the intervals and of the test for chance")
	flags.Var(command.Date(&f.since), "since", "only batches grafted on this day or later")
	flags.Var(command.Date(&f.until), "until", "only batches grafted on this day or earlier")
	flags.Var(command.Name(&f.variety), "variety", "only this variety")
	flags.Var(command.Name(&f.stock), "stock", "only this rootstock")
	flags.Var(plotFile(&f.plot), "plot", "plot to write")
	flags.StringVar(&f.csv, "csv", "", "table `FILE` to write (CSV, RFC 4180); - for the terminal, instead of the list")
	v.register(c, "write JSON: one object")
	return c
}

func (f *ratesFlags) check(asJSON bool) error {
	switch {
	case !f.since.IsZero() && !f.until.IsZero() && f.since.After(f.until):
		return fmt.Errorf("--since %v is after --until %v", f.since.Format(time.DateOnly), f.until.Format(time.DateOnly))
	case f.csv != "" && filepath.Clean(f.csv) == filepath.Clean(f.plot):
		return fmt.Errorf("--plot and --csv both name %s", f.csv)
	case f.csv == "-" && asJSON:
		return errors.New("--csv - and --json both write to the standard output: give a file for the table")
	}
	return nil
}

// rates compares takes, and writes the files of the flags.
func (l *job) rates(ctx context.Context, f ratesFlags) error {
	all, err := l.histories(ctx)
	if err != nil {
		return err
	}
	chosen := all
	if f.variety != "" || f.stock != "" {
		if chosen, err = l.wanted(ctx, ledger.Wanted{Variety: f.variety, Stock: f.stock}); err != nil {
			return err
		}
	}
	r, err := newRates(all, chosen, f, l.out)
	if err != nil {
		return err
	}
	said, err := r.writeFiles(f, l.book.Path())
	if err != nil {
		return err
	}
	switch {
	case l.out.asJSON:
		return r.writeJSON(l.out.stdout)
	case f.csv == "-":
		return r.writeCSV(l.out.stdout)
	}
	_, err = fmt.Fprint(l.out.stdout, r.text(), said)
	return err
}

// rates are takes that are compared, and what is left out of them.
type rates struct {
	forecast.Rates
	out   printer
	flags ratesFlags
	none  bool // no batch was grafted on the days of the flags
}

// newRates compares the chosen ones of all histories.
func newRates(all, chosen []records.History, f ratesFlags, out printer) (*rates, error) {
	history := forecast.Grafted(forecast.Outcomes(all, out.calendar, out.today), f.since, f.until)
	is := map[codes.Code]bool{}
	for _, h := range chosen {
		is[h.Batch.Code] = true
	}
	outcomes := slices.DeleteFunc(slices.Clone(history), func(o forecast.Outcome) bool { return !is[o.Batch] })
	compared, err := forecast.RatesOf(outcomes, history, f.by, f.level)
	limited := !f.since.IsZero() || !f.until.IsZero()
	return &rates{Rates: compared, out: out, flags: f, none: limited && len(chosen) > 0 && len(outcomes) == 0}, err
}

// trait is what is compared.
func trait(at *forecast.Trait) pflag.Value {
	parse := func(name string) (forecast.Trait, error) {
		return forecast.ParseTrait(strings.ToLower(strings.TrimSpace(name)))
	}
	return command.Value(at, "pair|stock|variety|grafter|label-wrap|month", parse, forecast.Trait.String)
}

const (
	usualLevel            = 0.95
	leastLevel, mostLevel = 0.5, 0.9999
)

// level is how sure an interval is: "95%" or "0.95".
func level(at *float64) pflag.Value {
	parse := func(text string) (float64, error) {
		number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
		value, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if percent {
			value /= 100
		}
		if err != nil || !(value >= leastLevel && value <= mostLevel) {
			return 0, errors.New("write a level as 95% or 0.95, from 50% to 99.99%")
		}
		return value, nil
	}
	return command.Value(at, "LEVEL", parse, forecast.LevelWords)
}

// plotFile is the name of a PNG or SVG file.
func plotFile(at *string) pflag.Value {
	parse := func(name string) (string, error) {
		ending := filepath.Ext(name)
		if filepath.Base(name) == ending || !strings.EqualFold(ending, ".png") && !strings.EqualFold(ending, ".svg") {
			return "", errors.New("a plot is a PNG or SVG: give a name such as rates.png or rates.svg")
		}
		return name, nil
	}
	return command.Value(at, "FILE.png|FILE.svg", parse, func(name string) string { return name })
}
