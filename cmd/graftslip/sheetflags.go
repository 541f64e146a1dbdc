package main

import (
	"time"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records/manifest"
	"graftslip/records/manifest/sheet"
)

// sheetFlags are the flags that set how a spreadsheet is read.
type sheetFlags struct {
	order manifest.DateOrder
	sheet sheet.Options
}

func (f *sheetFlags) register(flags *pflag.FlagSet) {
	order := command.Value(&f.order, "dmy|mdy|ymd", manifest.ParseDateOrder, manifest.DateOrder.String)
	encoding := command.Value(&f.sheet.Encoding, "NAME", sheet.ParseEncoding, func(name string) string { return name })
	flags.Var(encoding, "encoding", "encoding of a CSV file that is not UTF-8, such as windows-1250 or macintosh (default: windows-1252)")
	flags.StringVar(&f.sheet.Tab, "tab", "", "read the tab `NAME` of a workbook (default: the first)")
	flags.Var(order, "dates", "order of day, month and year in dates such as 12/1/2026 (default: as the dates of the file show)")
}

// options returns how to read a spreadsheet today, with the headings and names of the settings.
func (f *sheetFlags) options(today time.Time) (manifest.Options, error) {
	settings, err := command.LoadSettings()
	if err != nil {
		return manifest.Options{}, err
	}
	return manifest.Options{Today: today, Order: f.order, Headings: settings.Headings, Names: settings.Names, Sheet: f.sheet}, nil
}
