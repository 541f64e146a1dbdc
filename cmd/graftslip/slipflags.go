package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

// slipFlags are the flags of all that prints slips.
type slipFlags struct {
	folder     string
	stems      command.Stock
	trays      command.Stock
	wrap       command.Wrap
	stem       command.Length
	ease       command.Length
	symbols    command.Symbols
	cardSymbol command.CardSymbol
	link       command.Link
	nursery    command.Name
	dates      command.DateForm
	resolution command.Resolution
	font       string
	ledger     string
	stemPlaces placeFlags
	trayPlaces placeFlags
	printer    string
	shift      command.Shift
	scale      command.Scale
	outlines   bool
	proof      bool
	asJSON     bool
}

func newSlipFlags() slipFlags {
	return slipFlags{
		stems: usualStock("letter-2x10"), trays: usualStock("letter-2x2"),
		wrap: command.Wrap{Wrap: layouts.Flag}, stem: 8, ease: layouts.Ease,
		symbols: symbol.Auto(), resolution: 300,
	}
}

// usualStock is a flag's value unless another is named. The catalogue has it.
func usualStock(name string) command.Stock {
	stock, err := layouts.Lookup(name)
	if err != nil {
		panic(err)
	}
	return command.Stock{Stock: stock}
}

// register adds the flags in the order of the help.
func (f *slipFlags) register(flags *pflag.FlagSet) {
	flags.SortFlags = false
	flags.StringVar(&f.folder, "out", ".", "folder for the PDF files, made when missing")
	flags.Var(&f.stems, "stems", "label stock of the stem labels")
	flags.Var(&f.trays, "trays", "label stock of the tray cards")
	flags.Var(&f.wrap, "wrap", "how a label goes round the stem, for batches that do not say")
	flags.Var(&f.stem, "stem", "diameter of the stem, for batches that do not say")
	flags.Var(&f.ease, "ease", "room between stem and label, for growth and fingers")
	flags.Var(&f.symbols, "symbol", "symbol that carries the code")
	flags.Var(&f.cardSymbol, "card-symbol", "what the symbol of a tray card says: the code, the whole record, or a link")
	flags.Var(&f.link, "link", "address of the phone page, for links")
	flags.Var(&f.nursery, "nursery", "name of the nursery, for tray cards")
	flags.Var(&f.dates, "date-form", "how dates are written")
	flags.Var(&f.resolution, "dpi", "printer dots an inch")
	flags.StringVar(&f.font, "font", "", "TrueType font `FILE` instead of the built-in one")
	command.LedgerFlag(flags, &f.ledger)
	f.stemPlaces.register(flags, "", "stem labels")
	f.trayPlaces.register(flags, "-trays", "tray cards")
	flags.StringVar(&f.printer, "printer", "", "`NAME` of a printer of which the settings keep dpi, shift and scale")
	flags.Var(&f.shift, "shift", "how far to move print on the paper, to make up for the printer")
	flags.Var(&f.scale, "scale", "by which factor to stretch distances, to make up for the printer")
	flags.BoolVar(&f.outlines, "outlines", false, "draw edges and creases, for a test on plain paper")
	flags.BoolVar(&f.proof, "proof", false, "read every slip back before the files are handed over")
	flags.BoolVar(&f.asJSON, "json", false, "print the summary as JSON")
}

// check finds what no slip can be printed with.
func (f *slipFlags) check() error {
	const mostEase = 20
	usage := func(format string, values ...any) error {
		return &command.UsageError{Err: fmt.Errorf(format, values...)}
	}
	switch {
	case f.stem < records.MinStem || f.stem > records.MaxStem:
		return usage("--stem: a stem measures from %v mm to %v mm", records.MinStem, records.MaxStem)
	case f.ease > mostEase:
		return usage("--ease: the room between stem and label is at most %d mm", mostEase)
	case f.cardSymbol.CardSymbol == labels.CardLink && f.link == "":
		return &command.HintedError{Err: usage("--card-symbol link needs the address of the phone page"), Advice: "name it with --link, such as --link http://192.168.1.20:8417"}
	}
	if name := f.stemPlaces.sheet; name != "" && strings.EqualFold(string(name), string(f.trayPlaces.sheet)) {
		return usage("--sheet and --sheet-trays cannot both be %q: stem labels and tray cards are on sheets of their own", name)
	}
	if err := f.stemPlaces.check(f.stems.Stock); err != nil {
		return err
	}
	return f.trayPlaces.check(f.trays.Stock)
}

// options says how the slips are made, on stem labels and on tray cards.
func (f *slipFlags) options() (stems, trays labels.Options, err error) {
	face, err := labels.BuiltIn()
	if f.font != "" {
		var data []byte
		if data, err = os.ReadFile(f.font); err != nil {
			return stems, trays, fmt.Errorf("cannot read the font: %w", err)
		}
		if face, err = labels.NewTypeface(filepath.Base(f.font), data); err != nil {
			err = fmt.Errorf("font %s: %w", f.font, err)
		}
	}
	if err != nil {
		return stems, trays, err
	}
	stems = labels.Options{
		Face: face, Words: labels.English(), Stock: f.stems.Stock, Wrap: f.wrap.Wrap,
		Stem:    layouts.Stem{Diameter: float64(f.stem), Ease: float64(f.ease)},
		Symbols: f.symbols, DPI: float64(f.resolution),
		CardSymbol: f.cardSymbol.CardSymbol, Link: string(f.link), Nursery: string(f.nursery), Dates: f.dates.DateForm,
	}
	trays = stems
	trays.Stock = f.trays.Stock
	return stems, trays, trays.Check()
}
