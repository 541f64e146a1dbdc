package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records"
)

// pressFlags are the flags of all that prints whole files of labels and cards: how they are
// made, and where they go.
type pressFlags struct {
	command.PrintFlags
	folder     string
	ledger     string
	stemPlaces placeFlags
	trayPlaces placeFlags
	outlines   bool
	proof      bool
	asJSON     bool
}

func newPressFlags() pressFlags { return pressFlags{PrintFlags: command.NewPrintFlags()} }

// register adds the flags in the order of the help.
func (f *pressFlags) register(flags *pflag.FlagSet) {
	flags.SortFlags = false
	flags.StringVar(&f.folder, "out", ".", "write the PDF files to `FOLDER`, created if missing")
	f.RegisterDesign(flags)
	command.LedgerFlag(flags, &f.ledger)
	f.stemPlaces.register(flags, "", "stem labels")
	f.trayPlaces.register(flags, "-trays", "tray cards")
	f.RegisterPrinter(flags)
	flags.BoolVar(&f.outlines, "outlines", false, "draw label edges and creases, for a test on plain paper")
	flags.BoolVar(&f.proof, "proof", false, "read every label and card back before handing over the files")
	flags.BoolVar(&f.asJSON, "json", false, "print the summary as JSON")
}

// check finds flags that nothing can be printed with.
func (f *pressFlags) check() error {
	if err := f.Check(); err != nil {
		return err
	}
	if name := f.stemPlaces.sheet; name != "" && records.Folded(name) == records.Folded(f.trayPlaces.sheet) {
		return &command.UsageError{Err: fmt.Errorf("--sheet and --sheet-trays cannot both be %q: stem labels and tray cards need separate sheets", name)}
	}
	if err := f.stemPlaces.check(f.Stems); err != nil {
		return err
	}
	return f.trayPlaces.check(f.TrayStock())
}
