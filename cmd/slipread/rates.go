package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/plan/forecast"
)

// ratesFlags are the flags of "rates".
type ratesFlags struct {
	by             trait
	level          level
	since, until   time.Time
	variety, stock string
	plot           plotName
	csv            string
}

func (p program) ratesCommand() *cobra.Command {
	v := &baseCommand{program: p}
	f := ratesFlags{by: trait{forecast.ByPair}, level: usualLevel}
	c := &cobra.Command{
		Use:   "rates",
		Short: "Compare how many grafts became plants, by pair, stock, grafter and so on",
		Long: `Compare how many grafts became plants in the batches whose outcome is known: those that are unwrapped, sold, planted or lost. The largest
share comes first, with the interval in which it lies (Wilson's). Of pairs it is also said what is expected of the next batch, with a range for
nine of ten: that is learned from all batches together, so that a pair with few leans on its stock and its variety.

A group that differs from the first by no more than chance says so. Batches of one group differ, too: that is allowed for as far as there are
groups with several batches.`,
		Example: "  slipread rates\n  slipread rates --for grafter --since 2026-11-01 --plot grafters.png\n  slipread rates --for stock --csv -",
		Args:    command.Arguments(cobra.NoArgs),
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
	flags.Var(&f.by, "for", "what to compare")
	flags.Var(&f.level, "level", "how sure the intervals are, and what is said to be chance")
	flags.Var(command.Date(&f.since), "since", "of batches grafted on this day and later")
	flags.Var(command.Date(&f.until), "until", "of batches grafted on this day and before")
	flags.Var(command.Name(&f.variety), "variety", "of this variety only")
	flags.Var(command.Name(&f.stock), "stock", "of this stock only")
	flags.Var(&f.plot, "plot", "picture to draw")
	flags.StringVar(&f.csv, "csv", "", "table to write as CSV (RFC 4180); - for the terminal, instead of what is said there")
	v.register(c, "one object")
	return c
}

func (f *ratesFlags) check(asJSON bool) error {
	switch {
	case !f.since.IsZero() && !f.until.IsZero() && f.since.After(f.until):
		return fmt.Errorf("--since %v is after --until %v", f.since.Format(time.DateOnly), f.until.Format(time.DateOnly))
	case f.csv != "" && filepath.Clean(f.csv) == filepath.Clean(string(f.plot)):
		return fmt.Errorf("--plot and --csv both name %s", f.csv)
	case f.csv == "-" && asJSON:
		return errors.New("--csv - and --json both want the terminal: name a file for the table")
	}
	return nil
}

// rates compares takes, and writes the files that are asked for.
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
	said, err := r.writeFiles(f)
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
	none  bool // no batch was grafted on the days that are asked for
}

// newRates compares the chosen ones of all histories.
func newRates(all, chosen []records.History, f ratesFlags, out printer) (*rates, error) {
	history := forecast.Grafted(forecast.Outcomes(all, out.calendar, out.today), f.since, f.until)
	is := map[codes.Code]bool{}
	for _, c := range chosen {
		if f.within(c.Batch) {
			is[c.Batch.Code] = true
		}
	}
	var outcomes []forecast.Outcome
	for _, o := range history {
		if is[o.Batch] {
			outcomes = append(outcomes, o)
		}
	}
	r := &rates{out: out, flags: f, none: len(chosen) > 0 && len(is) == 0}
	var err error
	r.Rates, err = forecast.RatesOf(outcomes, history, f.by.Trait, float64(f.level))
	return r, err
}

// within reports whether a batch was grafted on the days that are asked for.
func (f ratesFlags) within(b records.Batch) bool {
	return len(forecast.Grafted([]forecast.Outcome{{Date: b.Date}}, f.since, f.until)) > 0
}

// trait is a flag's value: what is compared.
type trait struct{ forecast.Trait }

// Set reads the name of a trait.
func (t *trait) Set(name string) (err error) {
	t.Trait, err = forecast.ParseTrait(strings.ToLower(strings.TrimSpace(name)))
	return err
}

// Type names the value in the help.
func (t *trait) Type() string { return "pair|stock|variety|grafter|wrap|month" }

// level is a flag's value: how sure an interval is, 0-1.
type level float64

const (
	usualLevel            = 0.95
	leastLevel, mostLevel = 0.5, 0.9999
)

// Set reads "95%" or "0.95".
func (l *level) Set(text string) error {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	value, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent {
		value /= 100
	}
	if err != nil || !(value >= leastLevel && value <= mostLevel) {
		return errors.New("a level is written 95% or 0.95, and is from 50% to 99.99%")
	}
	*l = level(value)
	return nil
}

func (l *level) String() string { return forecast.LevelWords(float64(*l)) }

// Type names the value in the help.
func (l *level) Type() string { return "LEVEL" }
