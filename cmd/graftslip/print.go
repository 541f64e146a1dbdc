package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/manifest"
)

// printFlags are the flags of "print".
type printFlags struct {
	folder     string
	stems      command.Stock
	trays      command.Stock
	wrap       command.Wrap
	stem       command.Length
	ease       command.Length
	symbols    command.Symbols
	resolution command.Resolution
	spare      command.Spare
	date       command.Date
	font       string
	ledger     string
	outlines   bool
	asJSON     bool
}

func (p program) printCommand() *cobra.Command {
	f := printFlags{
		wrap: command.Wrap{Wrap: layouts.Flag}, stem: 8, ease: layouts.Ease,
		symbols: symbol.Auto(), resolution: 300,
	}
	c := &cobra.Command{
		Use:   "print MANIFEST",
		Short: "Print stem labels and tray cards for the batches of a manifest",
		Long: `Print stem labels and tray cards for the batches of a manifest.

A manifest is a CSV file with a row for each batch. Columns: date, variety, stock, grafts;
if wanted source, tray (grafts a tray), stem (diameter, as in 8mm), grafter, wrap, note.
Each batch gets its code once: printing the same manifest again gives the same labels.

Print at 100 %, never "fit to page".`,
		Example: "  graftslip print tomorrow.csv --stems letter-2x10 --wrap flag --stem 8mm --spare 5%",
		Args:    command.Arguments(cobra.ExactArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			return p.print(c.Context(), args[0], f, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	for stock, name := range map[*command.Stock]string{&f.stems: "letter-2x10", &f.trays: "letter-2x2"} {
		if err := stock.Set(name); err != nil {
			panic(err) // the catalogue lacks its own defaults
		}
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.folder, "out", ".", "folder for the PDF files, made when missing")
	flags.Var(&f.stems, "stems", "label stock of the stem labels")
	flags.Var(&f.trays, "trays", "label stock of the tray cards")
	flags.Var(&f.wrap, "wrap", "how a label goes round the stem, for rows that do not say")
	flags.Var(&f.stem, "stem", "diameter of the stem, for rows that do not say")
	flags.Var(&f.ease, "ease", "room between stem and label, for growth and fingers")
	flags.Var(&f.symbols, "symbol", "symbol that carries the code")
	flags.Var(&f.resolution, "dpi", "printer dots an inch")
	flags.Var(&f.spare, "spare", "spare labels for each batch, without a stem number")
	flags.Var(&f.date, "date", "graft date, for rows that do not say")
	flags.StringVar(&f.font, "font", "", "TrueType font `FILE` instead of the built-in one")
	flags.StringVar(&f.ledger, "ledger", "", "ledger `FILE` (else "+command.LedgerVariable+", else in the user's data folder)")
	flags.BoolVar(&f.outlines, "outlines", false, "draw edges and creases, for a test on plain paper")
	flags.BoolVar(&f.asJSON, "json", false, "print the summary as JSON")
	return c
}

// session is one run of "print".
type session struct {
	printFlags
	name           string // of the manifest, without folder and extension
	stemOptions    labels.Options
	trayOptions    labels.Options
	stemSlips      int
	trayCards      int
	stemSheets     int
	traySheets     int
	smallestModule float64 // mm, when below what readers like; else 0
	stderr         io.Writer
}

func (p program) print(ctx context.Context, path string, f printFlags, stdout, stderr io.Writer) error {
	if f.date.IsZero() {
		year, month, day := p.now().Date()
		if err := f.date.Set(fmt.Sprintf("%04d-%02d-%02d", year, month, day)); err != nil {
			return fmt.Errorf("today cannot be a graft date: %w", err)
		}
	}
	s := &session{printFlags: f, name: strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), stderr: stderr}
	if err := s.options(); err != nil {
		return err
	}
	drafts, err := s.read(path)
	if err != nil {
		return err
	}
	ledgerPath, err := command.LedgerPath(f.ledger)
	if err != nil {
		return err
	}
	book, err := ledger.Open(ctx, ledgerPath)
	if err != nil {
		return err
	}
	defer book.Close()
	issued, paths, err := s.issue(ctx, book, drafts)
	if err != nil {
		return err
	}
	if s.smallestModule > 0 {
		command.Hint(stderr, fmt.Sprintf("the smallest modules are %s mm, phones read 0.33 mm and more with ease: larger labels or another symbol or wrap would help",
			layouts.FormatNumber(s.smallestModule)))
	}
	if f.asJSON {
		return s.summaryJSON(stdout, issued, paths)
	}
	return s.summary(stdout, issued, paths, book.Path())
}

func (s *session) options() error {
	face, err := labels.BuiltIn()
	if s.font != "" {
		var data []byte
		if data, err = os.ReadFile(s.font); err != nil {
			return fmt.Errorf("cannot read the font: %w", err)
		}
		if face, err = labels.NewTypeface(filepath.Base(s.font), data); err != nil {
			err = fmt.Errorf("font %s: %w", s.font, err)
		}
	}
	if err != nil {
		return err
	}
	s.stemOptions = labels.Options{
		Face: face, Words: labels.English(), Stock: s.stems.Stock, Wrap: s.wrap.Wrap,
		Stem:    layouts.Stem{Diameter: float64(s.stem), Ease: float64(s.ease)},
		Symbols: s.symbols, DPI: float64(s.resolution),
	}
	s.trayOptions = s.stemOptions
	s.trayOptions.Stock = s.trays.Stock
	return nil
}

// read returns the manifest's drafts, or everything that is wrong with it: its
// cells and what does not fit on a label, in order of rows.
func (s *session) read(path string) ([]records.Draft, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, &command.HintedError{Err: fmt.Errorf("cannot read the manifest: %w", err), Advice: "name a CSV file with the columns date, variety, stock, grafts"}
	}
	defer file.Close()
	read, err := manifest.Read(filepath.Base(path), file, manifest.Options{Date: s.date.Time})
	var faults []error
	if err != nil {
		faults = command.Flatten(err)
	}
	faults = append(faults, s.tryDesigns(filepath.Base(path), read.Drafts)...)
	if len(faults) > 0 {
		sortByRow(faults)
		return nil, &faultyError{faults, s.advice(faults, read.Drafts)}
	}
	for _, hint := range read.Hints {
		command.Hint(s.stderr, hint)
	}
	return read.Drafts, nil
}

// summaryLine is a batch in the summary of "print --json".
type summaryLine struct {
	Code    string `json:"code"`
	Date    string `json:"date"`
	Variety string `json:"variety"`
	Stock   string `json:"stock"`
	Grafts  int    `json:"grafts"`
	State   string `json:"state"`
}

func (s *session) summaryJSON(w io.Writer, issued []records.Issued, paths []string) error {
	summary := struct {
		Batches []summaryLine `json:"batches"`
		Stems   int           `json:"stems"`
		Trays   int           `json:"trays"`
		Sheets  int           `json:"sheets"`
		Files   []string      `json:"files"`
	}{Stems: s.stemSlips, Trays: s.trayCards, Sheets: s.stemSheets + s.traySheets, Files: paths}
	for _, i := range issued {
		summary.Batches = append(summary.Batches, summaryLine{i.Code.String(), i.Date.Format("2006-01-02"), i.Variety, i.Batch.Stock, i.Grafts, i.State.String()})
	}
	return json.NewEncoder(w).Encode(summary)
}

func (s *session) summary(w io.Writer, issued []records.Issued, paths []string, ledgerPath string) error {
	count := map[records.State]int{}
	var notes []string
	for _, i := range issued {
		count[i.State]++
		for _, note := range i.Notes {
			notes = append(notes, fmt.Sprintf("row %d, %s: %s\n", i.Row, records.Pair(i.Variety, i.Batch.Stock), note))
		}
	}
	_, err := fmt.Fprintf(w, "%d rows: %d new, %d known, %d extended, %d kept\n%s", len(issued),
		count[records.New], count[records.Known], count[records.Extended], count[records.Kept], strings.Join(notes, ""))
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%d stem labels, sheets of %s: %d, %s\n%d tray cards, sheets of %s: %d, %s\nledger %s\n",
		s.stemSlips, s.stems.Name, s.stemSheets, paths[0], s.trayCards, s.trays.Name, s.traySheets, paths[1], ledgerPath)
	return err
}
