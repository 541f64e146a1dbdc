package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
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
		stems: usualStock("letter-2x10"), trays: usualStock("letter-2x2"),
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
			err := p.print(c.Context(), args[0], f, c.OutOrStdout(), c.ErrOrStderr())
			if err != nil && c.Context().Err() != nil {
				err = &command.HintedError{Err: err, Advice: "nothing was issued and no file was written"}
			}
			return err
		},
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

// usualStock is a flag's value unless another is named. The catalogue has it.
func usualStock(name string) command.Stock {
	stock, err := layouts.Lookup(name)
	if err != nil {
		panic(err)
	}
	return command.Stock{Stock: stock}
}

// session is one run of "print".
type session struct {
	printFlags
	manifest       string // its file, without folder
	name           string // of the files to write
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
	if err := f.check(); err != nil {
		return err
	}
	s := &session{printFlags: f, manifest: filepath.Base(path), stderr: stderr}
	s.name = strings.TrimLeft(strings.TrimSuffix(s.manifest, filepath.Ext(path)), ".")
	if s.name == "" {
		s.name = "session"
	}
	if err := s.options(); err != nil {
		return err
	}
	drafts, err := s.read(ctx, path, p.now())
	if err != nil {
		return err
	}
	ledgerPath, err := command.LedgerPath(f.ledger)
	if err != nil {
		return err
	}
	_, err = os.Stat(ledgerPath)
	fresh := errors.Is(err, fs.ErrNotExist)
	issued, paths, err := s.issue(ctx, ledgerPath, drafts)
	if err != nil {
		return err
	}
	s.hints(issued, fresh)
	if f.asJSON {
		return s.summaryJSON(stdout, issued, paths)
	}
	return s.summary(stdout, issued, paths)
}

// check finds lengths that no stem has.
func (f *printFlags) check() error {
	const mostEase = 20
	if f.stem < manifest.MinStem || f.stem > manifest.MaxStem {
		return &command.UsageError{Err: fmt.Errorf("--stem: a stem measures from %v mm to %v mm", manifest.MinStem, manifest.MaxStem)}
	}
	if f.ease > mostEase {
		return &command.UsageError{Err: fmt.Errorf("--ease: the room between stem and label is at most %d mm", mostEase)}
	}
	return nil
}

// hints tells what a grower should know although nothing is wrong.
func (s *session) hints(issued []records.Issued, fresh bool) {
	if fresh {
		command.Hint(s.stderr, "this ledger is new: it is all that keeps a code from being given twice, so keep one for the whole nursery and keep copies of it")
	}
	if slices.ContainsFunc(issued, func(i records.Issued) bool { return i.State != records.New }) {
		command.Hint(s.stderr, "a row that is not new prints the labels its plants have already; other plants of the pair need a row with another source, or more grafts in this one")
	}
	if s.smallestModule > 0 {
		command.Hint(s.stderr, fmt.Sprintf("the smallest modules are %s mm, phones read 0.33 mm and more with ease: larger labels or another symbol or wrap would help",
			layouts.FormatNumber(s.smallestModule)))
	}
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
func (s *session) read(ctx context.Context, path string, today time.Time) ([]records.Draft, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, &command.HintedError{Err: fmt.Errorf("cannot read the manifest: %w", err), Advice: "name a CSV file with the columns date, variety, stock, grafts"}
	}
	defer file.Close()
	read, err := manifest.Read(s.manifest, file, manifest.Options{Date: s.date.Time, Today: today})
	var faults manifest.Errors
	if err != nil && !errors.As(err, &faults) {
		return nil, err
	}
	tried, err := s.tryDesigns(ctx, s.manifest, read.Drafts)
	if err == nil {
		err = tried.err(faults.Unwrap(), s)
	}
	if err != nil {
		return nil, err
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
		summary.Batches = append(summary.Batches, summaryLine{i.Code.String(), i.Date.Format(time.DateOnly), i.Variety, i.Batch.Stock, i.Grafts, i.State.String()})
	}
	return json.NewEncoder(w).Encode(summary)
}

func (s *session) summary(w io.Writer, issued []records.Issued, paths []string) error {
	count := map[records.State]int{}
	var notes strings.Builder
	for _, i := range issued {
		count[i.State]++
		said := i.Notes
		if i.State == records.Extended {
			said = append([]string{fmt.Sprintf("stems %d–%d are new, those before were printed already", i.Before+1, i.Grafts)}, said...)
		}
		for _, note := range said {
			fmt.Fprintf(&notes, "row %d, %s: %s\n", i.Row, records.Pair(i.Variety, i.Batch.Stock), note)
		}
	}
	_, err := fmt.Fprintf(w, "rows: %d (new %d, known %d, extended %d, kept %d)\n%s"+
		"stem labels: %d, sheets of %s: %d, %s\ntray cards: %d, sheets of %s: %d, %s\nledger: %s\n",
		len(issued), count[records.New], count[records.Known], count[records.Extended], count[records.Kept], notes.String(),
		s.stemSlips, s.stems.Name, s.stemSheets, paths[0], s.trayCards, s.trays.Name, s.traySheets, paths[1], s.ledger)
	return err
}
