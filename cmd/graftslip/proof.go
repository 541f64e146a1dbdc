package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels/proof"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// proofFlags are the flags of "proof".
type proofFlags struct {
	resolution float64 // printer dots an inch, 0 for that of each file
	spread     float64 // of ink, standard deviation in printer dots
	ledger     string
	asJSON     bool
}

func proofCommand() *cobra.Command {
	f := proofFlags{spread: proof.InkSpread}
	c := &cobra.Command{
		Use:   "proof FILE.pdf...",
		Short: "Check PDF files of labels and cards before you print them",
		Long: `Check PDF files of labels and cards before you print them.

proof draws each page as the printer would and reads every symbol. It compares each with the ledger and with the text
beside it, and measures how near the ink comes to the cut edges. It reports every fault with its page and position,
counted from 1 along the rows, and then exits with code 1.`,
		Example: "  graftslip proof tomorrow-stems.pdf tomorrow-trays.pdf",
		Args: command.Arguments(func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("name at least one PDF file")
			}
			return nil
		}),
		RunE: func(c *cobra.Command, args []string) error {
			return f.prove(c.Context(), args, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.Var(command.Resolution(&f.resolution), "dpi", "dots per inch to draw pages at (default: those the file was made for)")
	command.NotSetting(flags, "dpi")
	flags.Var(command.Value(&f.spread, "DOTS", parseInkSpread, layouts.FormatNumber), "blur", "how far ink spreads: standard deviation in printer dots, 0 for none")
	command.LedgerFlag(flags, &f.ledger)
	flags.BoolVar(&f.asJSON, "json", false, "print one JSON object per file")
	return c
}

func parseInkSpread(text string) (float64, error) {
	dots, err := strconv.ParseFloat(text, 64)
	if err != nil || !(dots >= 0 && dots <= 5) {
		return 0, errors.New("give 0 to 5 dots")
	}
	return dots, nil
}

// prove proves one file after the other. What is wrong with one is reported,
// and the rest goes on.
func (f proofFlags) prove(ctx context.Context, paths []string, stdout, stderr io.Writer) error {
	book, err := command.OpenLedger(ctx, f.ledger)
	if err != nil {
		return err
	}
	defer book.Close()
	calendar, err := command.LoadCalendar()
	if err != nil {
		return err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	check := proof.Check{DPI: f.resolution, Spread: f.spread, Calendar: calendar, Find: func(code codes.Code) (records.Record, bool, error) {
		record, err := book.Find(ctx, code)
		if errors.Is(err, ledger.ErrNotIssued) {
			return records.Record{}, false, nil
		}
		return record, err == nil, err
	}}
	failed := false
	for _, path := range paths {
		report, err := proveFile(ctx, check, renderer, path, stderr)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, ledger.ErrUnusable):
			return err
		case err == nil && f.asJSON:
			err = proofJSON(stdout, path, report)
		case err == nil:
			err = proofSummary(stdout, stderr, path, report)
		}
		if err != nil {
			command.Report(stderr, err)
		}
		failed = failed || err != nil || len(report.Faults) > 0
	}
	if failed {
		return command.ErrReported
	}
	return nil
}

func proveFile(ctx context.Context, check proof.Check, renderer *scan.Renderer, path string, stderr io.Writer) (proof.Report, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return proof.Report{}, &command.HintedError{Err: fmt.Errorf("cannot read the file: %w", err), Advice: "name a PDF file that graftslip print wrote"}
	}
	report, err := prove(ctx, check, renderer, data, stderr)
	if err != nil {
		err = fmt.Errorf("%s: %w", path, err)
	}
	return report, err
}

// prove proves a file and shows how far it is.
func prove(ctx context.Context, check proof.Check, renderer *scan.Renderer, data []byte, stderr io.Writer) (proof.Report, error) {
	step, end := func() {}, func() {}
	defer func() { end() }()
	return check.File(ctx, renderer, data, func(done, pages int) {
		if done == 1 {
			step, end = command.Progress(stderr, pages, "pages")
		}
		step()
	})
}

func proofSummary(stdout, stderr io.Writer, path string, r proof.Report) error {
	if faults := faultsOf(path, r); len(faults) > 0 {
		command.Report(stderr, errors.Join(faults...))
	}
	_, err := fmt.Fprintln(stdout, proofSaid(path, r))
	return err
}

func faultsOf(path string, r proof.Report) []error {
	var faults []error
	for i := range r.Faults {
		separator := ", "
		if r.Faults[i].Page == 0 {
			separator = ": "
		}
		faults = append(faults, fmt.Errorf("%s%s%w", path, separator, &r.Faults[i]))
	}
	return faults
}

// proofSaid is a report in one line.
func proofSaid(path string, r proof.Report) string {
	distance := fmt.Sprintf("least distance from ink to a cut edge %s ± %s mm", hundredths(r.LeastDistance), hundredths(r.Pixel))
	if r.Outlines {
		distance = "edges are drawn, so the distance from ink to them was not measured"
	}
	module := ""
	if r.SmallestModule > 0 {
		module = fmt.Sprintf(", smallest module %s mm", hundredths(r.SmallestModule))
	}
	return fmt.Sprintf("%s: pages %d, symbols %d, read %d, wrong %d, missing %d%s, %s",
		path, r.Pages, r.Symbols, r.Read, r.Wrong, r.Missing, module, distance)
}

func hundredths(mm float64) string { return strconv.FormatFloat(mm, 'f', 2, 64) }

// proofLine is a line of "proof --json". Lengths are millimetres.
type proofLine struct {
	File     string      `json:"file"`
	Pages    int         `json:"pages"`
	Symbols  int         `json:"symbols"`
	Read     int         `json:"read"`
	Wrong    int         `json:"wrong"`
	Missing  int         `json:"missing"`
	Module   float64     `json:"smallest_module,omitempty"`
	Distance *float64    `json:"least_distance,omitempty"` // left out where edges are drawn
	Pixel    float64     `json:"pixel"`                    // how exactly the distance is measured
	Outlines bool        `json:"outlines"`
	Faults   []faultLine `json:"faults"`
}

// faultLine is one fault of a proofLine.
type faultLine struct {
	Kind    string `json:"kind"`
	Page    int    `json:"page,omitempty"`
	Place   int    `json:"position,omitempty"`
	Code    string `json:"code,omitempty"`
	Message string `json:"message"`
}

func proofJSON(w io.Writer, path string, r proof.Report) error {
	rounded := func(mm float64) float64 { return math.Round(mm*1000) / 1000 }
	line := proofLine{File: path, Pages: r.Pages, Symbols: r.Symbols, Read: r.Read, Wrong: r.Wrong, Missing: r.Missing,
		Module: rounded(r.SmallestModule), Pixel: rounded(r.Pixel), Outlines: r.Outlines, Faults: []faultLine{}}
	if !r.Outlines {
		distance := rounded(r.LeastDistance)
		line.Distance = &distance
	}
	for _, f := range r.Faults {
		fault := faultLine{Kind: string(f.Kind), Page: f.Page, Place: f.Position, Message: f.Text}
		if !f.Code.IsZero() {
			fault.Code = f.Code.String()
		}
		line.Faults = append(line.Faults, fault)
	}
	return json.NewEncoder(w).Encode(line)
}
