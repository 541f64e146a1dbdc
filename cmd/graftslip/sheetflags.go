package main

import (
	"time"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records/manifest"
)

// sheetFlags are the flags that set how a spreadsheet is read.
type sheetFlags struct {
	order manifest.DateOrder
}

func (f *sheetFlags) register(flags *pflag.FlagSet) {
	order := command.Value(&f.order, "dmy|mdy|ymd", manifest.ParseDateOrder, manifest.DateOrder.String)
	flags.Var(order, "dates", "order of day, month and year in dates such as 12/1/2026 (default: as the dates of the file show)")
}

// options returns how to read a spreadsheet today, with the headings of the settings.
func (f *sheetFlags) options(today time.Time) (manifest.Options, error) {
	settings, err := command.LoadSettings()
	if err != nil {
		return manifest.Options{}, err
	}
	return manifest.Options{Today: today, Order: f.order, Headings: settings.Headings()}, nil
}
