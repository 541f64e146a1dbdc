package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// placeFlags set which positions of the first sheet are free, for labels or
// cards.
type placeFlags struct {
	suffix string // of the flags' names
	start  int    // 0 when it was not given
	skip   records.Numbers
	sheet  string
}

// register adds the flags. The suffix keeps those of tray cards apart from those of
// stem labels.
func (f *placeFlags) register(flags *pflag.FlagSet, suffix, slips string) {
	f.suffix = suffix
	flags.Var(command.Number(&f.start, records.MaxNumber, errors.New("a position is a number from 1, as on the page of graftslip ruler")), "start"+suffix, "first free position on a part-used sheet of "+slips)
	flags.Var(command.Numbers(&f.skip), "skip"+suffix, "positions to leave out on the first sheet of "+slips)
	flags.Var(command.Name(&f.sheet), "sheet"+suffix, "name to remember the sheet of "+slips+" by, from print to print")
}

// check finds positions that the label stock does not have.
func (f *placeFlags) check(stock layouts.Stock) error {
	last := f.start
	if len(f.skip) > 0 {
		last = max(last, f.skip[len(f.skip)-1])
	}
	if count := stock.Count(); last > count {
		return &command.UsageError{Err: fmt.Errorf("a sheet of %s has positions 1 to %d; there is no position %d", stock.Name, count, last)}
	}
	if len(f.free(records.Range(max(1, f.start), stock.Count()))) == 0 {
		return &command.UsageError{Err: fmt.Errorf("--start%s and --skip%s leave no position free on a sheet of %s", f.suffix, f.suffix, stock.Name)}
	}
	return nil
}

// free drops the positions that cannot be used.
func (f *placeFlags) free(places records.Numbers) records.Numbers {
	var free records.Numbers
	for _, place := range places {
		if !f.skip.Contains(place) {
			free = append(free, place)
		}
	}
	return free
}

// places are the positions that are printed on.
type places struct {
	layouts.Filling
	sheet records.Sheet // that is remembered, as it was
	known bool          // whether it was remembered
}

// places returns the positions to print on: from --start on, else what is left of the
// sheet that is remembered, else a new sheet, and never those of --skip.
func (f *placeFlags) places(ctx context.Context, c *ledger.Change, stock layouts.Stock) (places, error) {
	p := places{Filling: layouts.Filling{Stock: stock}}
	if f.sheet != "" {
		var err error
		if p.sheet, p.known, err = c.Sheet(ctx, f.sheet); err != nil {
			return places{}, err
		}
	}
	first := records.Range(max(1, f.start), stock.Count())
	if p.known && f.start == 0 {
		if p.sheet.Stock != stock.FullName() {
			return places{}, &command.HintedError{
				Err:    fmt.Errorf("sheet %q is %s, not %s", p.sheet.Name, p.sheet.Stock, stock.FullName()),
				Advice: fmt.Sprintf("give the new sheet another name, or start a new one under this name with --start%s 1", f.suffix)}
		}
		if len(p.sheet.Free) > 0 {
			first = p.sheet.Free
		}
	}
	if p.Free = f.free(first); len(p.Free) == 0 {
		return places{}, &command.HintedError{
			Err:    fmt.Errorf("sheet %q has no position left except those in --skip%s", p.sheet.Name, f.suffix),
			Advice: fmt.Sprintf("start a new sheet with --start%s 1", f.suffix)}
	}
	return p, nil
}

// remember keeps what is left of a sheet that has a name behind n slips, unless
// another print has used it meanwhile.
func (f *placeFlags) remember(ctx context.Context, c *ledger.Change, was places, n int) error {
	if f.sheet == "" || n == 0 {
		return nil
	}
	now, known, err := c.Sheet(ctx, f.sheet)
	if err != nil {
		return err
	}
	if known != was.known || now.Used != was.sheet.Used {
		return &command.HintedError{Err: fmt.Errorf("another print used sheet %q in the meantime", f.sheet), Advice: "print again"}
	}
	return c.Remember(ctx, records.Sheet{Name: f.sheet, Stock: was.Stock.FullName(), Free: was.Left(n)})
}

// putBack undoes remember, unless another print has used the sheet since.
func (f *placeFlags) putBack(ctx context.Context, c *ledger.Change, was places, n int) error {
	if f.sheet == "" || n == 0 {
		return nil
	}
	now, known, err := c.Sheet(ctx, f.sheet)
	switch {
	case err != nil || !known || now.Used != was.sheet.Used+1:
		return err
	case was.known:
		return c.Remember(ctx, was.sheet)
	}
	return c.Forget(ctx, f.sheet)
}
