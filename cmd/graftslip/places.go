package main

import (
	"context"
	"fmt"
	"strings"

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
	start  command.Count
	skip   command.Numbers
	sheet  string
}

// register adds the flags. The suffix tells those of tray cards from those of
// stem labels.
func (f *placeFlags) register(flags *pflag.FlagSet, suffix, slips string) {
	f.suffix = suffix
	flags.Var(&f.start, "start"+suffix, "first free place of a sheet that was used in part, for "+slips)
	flags.Var(&f.skip, "skip"+suffix, "places that were used on the first sheet, for "+slips)
	flags.StringVar(&f.sheet, "sheet"+suffix, "", "`NAME` of a sheet, remembered from print to print, for "+slips)
}

// check finds places that the stock does not have, and names of sheets that
// are none.
func (f *placeFlags) check(stock layouts.Stock) error {
	if strings.TrimSpace(f.sheet) != f.sheet || len(f.sheet) > 60 {
		return &command.UsageError{Err: fmt.Errorf("--sheet%s: a sheet's name has at most 60 letters and no space around it", f.suffix)}
	}
	last := int(f.start)
	if len(f.skip.Numbers) > 0 {
		last = max(last, f.skip.Numbers[len(f.skip.Numbers)-1])
	}
	if count := stock.Count(); last > count {
		return &command.UsageError{Err: fmt.Errorf("a sheet of %s has places 1 to %d, there is no place %d", stock.Name, count, last)}
	}
	if f.named() && len(f.free(stock)) == 0 {
		return &command.UsageError{Err: fmt.Errorf("--start%s and --skip%s leave no place free on a sheet of %s", f.suffix, f.suffix, stock.Name)}
	}
	return nil
}

// named reports whether the flags say which places are free.
func (f *placeFlags) named() bool { return f.start > 0 || len(f.skip.Numbers) > 0 }

// free returns the places that the flags leave free on the first sheet.
func (f *placeFlags) free(stock layouts.Stock) records.Numbers {
	var free records.Numbers
	for place := max(1, int(f.start)); place <= stock.Count(); place++ {
		if !f.skip.Contains(place) {
			free = append(free, place)
		}
	}
	return free
}

// filling returns where slips go: to the places that the flags leave free, else
// to those that are left of the sheet that is remembered, else to a new sheet.
func (f *placeFlags) filling(ctx context.Context, c *ledger.Change, stock layouts.Stock) (layouts.Filling, error) {
	if f.named() {
		return layouts.Filling{Stock: stock, Free: f.free(stock)}, nil
	}
	if f.sheet == "" {
		return layouts.Filling{Stock: stock}, nil
	}
	sheet, known, err := c.Sheet(ctx, f.sheet)
	if err != nil {
		return layouts.Filling{}, err
	}
	if known && sheet.Stock != stock.Name {
		return layouts.Filling{}, &command.HintedError{
			Err:    fmt.Errorf("sheet %q is of %s, not of %s", f.sheet, sheet.Stock, stock.Name),
			Advice: fmt.Sprintf("give this sheet another name, or begin it anew with --start%s 1", f.suffix)}
	}
	return layouts.Filling{Stock: stock, Free: sheet.Free}, nil
}

// remember keeps what is left behind n slips, when the sheet has a name.
func (f *placeFlags) remember(ctx context.Context, c *ledger.Change, filling layouts.Filling, n int) error {
	if f.sheet == "" || n == 0 {
		return nil
	}
	return c.Remember(ctx, records.Sheet{Name: f.sheet, Stock: filling.Stock.Name, Free: filling.Left(n)})
}
