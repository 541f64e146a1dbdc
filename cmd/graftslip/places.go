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

// placeFlags say which places of the first sheet are free, for one kind of
// slip.
type placeFlags struct {
	suffix string // of the flags' names
	start  int    // 0 when it was not given
	skip   records.Numbers
	sheet  string
}

// register adds the flags. The suffix tells those of tray cards from those of
// stem labels.
func (f *placeFlags) register(flags *pflag.FlagSet, suffix, slips string) {
	f.suffix = suffix
	flags.Var(command.Number(&f.start, records.MaxNumber, errors.New("a place is a number from 1, as graftslip ruler prints it")), "start"+suffix, "first free place of a sheet that was used in part, for "+slips)
	flags.Var(command.Numbers(&f.skip), "skip"+suffix, "places of the first sheet that cannot be used, for "+slips)
	flags.Var(command.Name(&f.sheet), "sheet"+suffix, "name of a sheet that is remembered from print to print, for "+slips)
}

// check finds places that the stock does not have.
func (f *placeFlags) check(stock layouts.Stock) error {
	last := f.start
	if len(f.skip) > 0 {
		last = max(last, f.skip[len(f.skip)-1])
	}
	if count := stock.Count(); last > count {
		return &command.UsageError{Err: fmt.Errorf("a sheet of %s has places 1 to %d, there is no place %d", stock.Name, count, last)}
	}
	if len(f.free(records.Range(max(1, f.start), stock.Count()))) == 0 {
		return &command.UsageError{Err: fmt.Errorf("--start%s and --skip%s leave no place free on a sheet of %s", f.suffix, f.suffix, stock.Name)}
	}
	return nil
}

// free drops the places that cannot be used.
func (f *placeFlags) free(places records.Numbers) records.Numbers {
	var free records.Numbers
	for _, place := range places {
		if !f.skip.Contains(place) {
			free = append(free, place)
		}
	}
	return free
}

// places is where slips go.
type places struct {
	layouts.Filling
	sheet records.Sheet // that is remembered, as it was
	known bool          // whether it was remembered
}

// places returns where slips go: from --start on, else to what is left of the
// sheet that is remembered, else to a new sheet, and never to places of --skip.
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
		if p.sheet.Stock != stock.Name {
			return places{}, &command.HintedError{
				Err:    fmt.Errorf("sheet %q is of %s, not of %s", p.sheet.Name, p.sheet.Stock, stock.Name),
				Advice: fmt.Sprintf("give this sheet another name, or begin it anew with --start%s 1", f.suffix)}
		}
		if len(p.sheet.Free) > 0 {
			first = p.sheet.Free
		}
	}
	if p.Free = f.free(first); len(p.Free) == 0 {
		return places{}, &command.HintedError{
			Err:    fmt.Errorf("sheet %q has no place left but those of --skip%s", p.sheet.Name, f.suffix),
			Advice: fmt.Sprintf("begin a new sheet with --start%s 1", f.suffix)}
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
		return &command.HintedError{Err: fmt.Errorf("another print has used the sheet %q meanwhile", f.sheet), Advice: "print again"}
	}
	return c.Remember(ctx, records.Sheet{Name: f.sheet, Stock: was.Stock.Name, Free: was.Left(n)})
}

// putBack undoes remember.
func (f *placeFlags) putBack(ctx context.Context, c *ledger.Change, was places, n int) error {
	if f.sheet == "" || n == 0 {
		return nil
	}
	if was.known {
		return c.Remember(ctx, was.sheet)
	}
	return c.Remember(ctx, records.Sheet{Name: f.sheet, Stock: was.Stock.Name, Free: was.Free})
}
