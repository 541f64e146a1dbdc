package command

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

// PrintFlags are the flags that set how labels and cards are made, the same for all that
// prints any.
type PrintFlags struct {
	Stems      layouts.Stock
	Trays      layouts.Stock // zero for the default, see TrayStock
	Wrap       layouts.Wrap
	Stem       float64 // diameter, mm
	Clearance  float64 // mm
	Symbols    []symbol.Kind
	CardSymbol labels.CardSymbol
	Link       string
	Nursery    string
	Dates      records.DateForm
	Resolution float64 // printer dots an inch
	Font       string  // file; empty for the built-in font
	Printer    string  // of the settings; empty for none
	Correction layouts.Correction

	// Calendar sets from which day to check for new growth. It is no flag: a
	// program takes it from LoadCalendar.
	Calendar records.Calendar
}

// NewPrintFlags returns the flags with their defaults.
func NewPrintFlags() PrintFlags {
	return PrintFlags{
		Stems: usualStock(usualStems),
		Wrap:  layouts.Flag, Stem: 8, Clearance: layouts.Clearance,
		Symbols: symbol.Auto(), Resolution: 300,
	}
}

const usualStems = "letter-2x10"

// TrayStock is the label stock for cards: the flag's, or else four on a sheet of the stem
// labels' paper.
func (f *PrintFlags) TrayStock() layouts.Stock {
	if f.Trays != (layouts.Stock{}) {
		return f.Trays
	}
	return usualStock(layouts.PaperOf(f.Stems).String() + "-2x2")
}

// Paper is the user's paper: that of the stem labels, or of the cards. If neither is
// chosen, it is the usual paper of the user's country.
func (f *PrintFlags) Paper() layouts.Paper {
	if f.Stems.Name == usualStems && f.Trays == (layouts.Stock{}) {
		if paper, known := paperAt(cmp.Or(os.Getenv("LC_ALL"), os.Getenv("LC_PAPER"), os.Getenv("LANG"))); known {
			return paper
		}
	}
	return layouts.PaperOf(f.Stems, f.TrayStock())
}

// paperAt is the usual paper of a locale such as de_CH.UTF-8. It reports false if the
// locale names no country. Letter is usual in North America, the Philippines and parts
// of Latin America (Unicode CLDR, paperSize: memory), A4 elsewhere.
func paperAt(locale string) (layouts.Paper, bool) {
	const letter = "BZ CA CL CO CR GT MX NI PA PH PR SV US VE"
	_, country, _ := strings.Cut(locale, "_")
	if len(country) < 2 {
		return 0, false
	}
	if strings.Contains(letter, country[:2]) {
		return layouts.Letter, true
	}
	return layouts.A4, true
}

// usualStock is a default, which the catalogue has.
func usualStock(name string) layouts.Stock {
	stock, err := layouts.Lookup(name)
	if err != nil {
		panic(err)
	}
	return stock
}

// Register adds all the flags.
func (f *PrintFlags) Register(flags *pflag.FlagSet) {
	f.RegisterDesign(flags)
	f.RegisterPrinter(flags)
}

// RegisterDesign adds the flags that set what labels and cards look like. It is for a
// program whose help has others between these and those of RegisterPrinter.
func (f *PrintFlags) RegisterDesign(flags *pflag.FlagSet) {
	flags.Var(Stock(&f.Stems), "stems", "label stock for stem labels")
	flags.Var(Stock(&f.Trays), "trays", "label stock for tray cards (default: four on a sheet of the paper of --stems)")
	flags.Var(Wrap(&f.Wrap), "label-wrap", "how a label goes round the stem, for batches that give none")
	flags.Var(Length(&f.Stem), "stem", "stem diameter, for batches that give none")
	flags.Var(Length(&f.Clearance), "clearance", "room between stem and label, for growth and fingers")
	flags.Var(Symbols(&f.Symbols), "symbol", "symbol for the code")
	flags.Var(CardSymbol(&f.CardSymbol), "card-symbol", "what a tray card's symbol holds: the code, the whole record, or a link")
	flags.Var(Link(&f.Link), "link", "address of the phone page, for links")
	flags.Var(Name(&f.Nursery), "nursery", "nursery name, for tray cards")
	flags.Var(DateForm(&f.Dates), "date-form", "how to write dates")
	flags.Var(Resolution(&f.Resolution), "dpi", "printer dots per inch")
	flags.StringVar(&f.Font, "font", "", "use the TrueType font in `FILE` instead of the built-in one")
}

// RegisterPrinter adds the flags that correct a printer.
func (f *PrintFlags) RegisterPrinter(flags *pflag.FlagSet) {
	flags.StringVar(&f.Printer, "printer", "", "use the dpi, shift and scale that the settings keep for the printer `NAME`")
	flags.Var(Shift(&f.Correction), "shift", "how far to move the print, to correct the printer")
	flags.Var(Scale(&f.Correction), "scale", "factor to stretch the print by, to correct the printer")
}

// Check finds flags that nothing can be printed with. The error is a usage error.
func (f *PrintFlags) Check() error {
	const mostClearance = 20
	usage := func(format string, values ...any) error {
		return &UsageError{fmt.Errorf(format, values...)}
	}
	switch {
	case !records.IsStem(f.Stem):
		return usage("--stem must be from %v mm to %v mm", records.MinStem, records.MaxStem)
	case f.Clearance > mostClearance:
		return usage("--clearance must be at most %d mm", mostClearance)
	case f.CardSymbol == labels.CardLink && f.Link == "":
		return &HintedError{usage("--card-symbol link needs the address of the phone page"), "give it with --link, as in --link http://192.168.1.20:8417"}
	}
	return nil
}

// Options returns how stem labels and tray cards are made. Errors
// are those of the font's file and of labels.Options.Check.
func (f *PrintFlags) Options() (stems, trays labels.Options, err error) {
	face, err := labels.BuiltIn()
	if f.Font != "" {
		var data []byte
		if data, err = os.ReadFile(f.Font); err != nil {
			return stems, trays, fmt.Errorf("cannot read the font: %w", err)
		}
		if face, err = labels.NewTypeface(filepath.Base(f.Font), data); err != nil {
			err = fmt.Errorf("font %s: %w", f.Font, err)
		}
	}
	if err != nil {
		return stems, trays, err
	}
	stems = labels.Options{
		Face: face, Stock: f.Stems, Wrap: f.Wrap,
		Stem:    layouts.Stem{Diameter: f.Stem, Clearance: f.Clearance},
		Symbols: f.Symbols, DPI: f.Resolution,
		CardSymbol: f.CardSymbol, Link: f.Link, Nursery: f.Nursery, Dates: f.Dates,
		Calendar: f.Calendar,
	}
	trays = stems
	trays.Stock = f.TrayStock()
	return stems, trays, trays.Check()
}

// Setup returns how labels or cards are put on pages: corrected for the
// printer, without outlines.
func (f *PrintFlags) Setup(o labels.Options) labels.Setup {
	return labels.Setup{Stock: o.Stock, DPI: o.DPI, Correction: f.Correction}
}
