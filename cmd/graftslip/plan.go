package main

import (
	"context"
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
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/manifest"
	"graftslip/records/plan"
)

// planFlags are the flags of "plan".
type planFlags struct {
	sheetFlags
	printing  command.PrintFlags
	folder    string
	ledger    string
	paper     layouts.Paper
	from      time.Time
	bed       command.BedFlags
	aDay      int
	off       daysOff
	sure      float64
	take      float64
	tray      int
	spare     command.SpareLabels
	woodSpare command.SpareLabels
	asJSON    bool
}

func (p program) planCommand() *cobra.Command {
	f := planFlags{printing: command.NewPrintFlags(), sure: 0.9, woodSpare: command.SpareLabels{Number: 5, Percent: true}}
	c := &cobra.Command{
		Use:   "plan ORDERS",
		Short: "Plan how many grafts to make, and when, for the plants you want",
		Long: `Plan how many grafts to make, and when, for the plants you want.

ORDERS is a spreadsheet, .xlsx or CSV, with one row for each pair of variety and rootstock. Its columns:

  variety, stock   the pair
  wanted           how many finished plants you want
  by               day by which they must be finished (optional)
  sure             chance of enough plants, such as 90% (optional)
  grafts           how many grafts to make, if you set the number yourself (optional)
  source, tray, stem, grafter, label wrap, note   go into the manifest (optional)

The plan learns from finished batches in the ledger how many grafts take. It keeps within the bed spaces and the grafts
a day that you set. Trays under mist, and batches labelled for coming days, take up room too.

It writes ORDERS-plan.csv, a manifest for "graftslip print", and ORDERS-sessions.pdf, a work sheet for each day. If not
all grafts fit, the files hold the best plan found. The report then names what is short, and the exit code is 1.`,
		Example: "  graftslip plan orders.csv --bed-spaces 40 --a-day 200 --off sat,sun\n  graftslip plan orders.csv --take 70% --sure 95%",
		Args:    command.OneArgument("file of orders"),
		RunE: func(c *cobra.Command, args []string) error {
			return p.plan(c.Context(), args[0], f, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	f.register(c.Flags())
	return c
}

func (f *planFlags) register(flags *pflag.FlagSet) {
	flags.SortFlags = false
	flags.StringVar(&f.folder, "out", ".", "write the files to `FOLDER`, created if missing")
	flags.Var(command.Date(&f.from), "from", "first day for grafting (default: tomorrow)")
	flags.Var(command.BedSpaces(&f.bed.BedSpaces), "bed-spaces", "how many trays the mist bed holds (default: no limit)")
	flags.Var(grafts(&f.aDay), "a-day", "grafts that can be made in a day (default: no limit)")
	flags.Var(command.Value(&f.off, "DAYS", parseDaysOff, daysOff.String), "off", "weekdays and dates when nobody grafts, as in sat,sun,2026-12-25")
	flags.Var(share(&f.sure), "sure", "chance of enough finished plants, for rows that give none")
	flags.Var(share(&f.take), "take", "share of grafts that become plants (default: learned from the ledger)")
	flags.Var(grafts(&f.tray), "tray", "grafts per tray, for rows that give none (default: one tray per session)")
	flags.Var(command.Spare(&f.woodSpare), "wood-spare", "spare scions and stock cuttings to cut for each batch")
	flags.Var(command.Spare(&f.spare), "spare", "spare labels for each batch; give print the same")
	flags.Var(paper(&f.paper), "paper", "paper for the session sheets (default: that of the label stock)")
	flags.Var(command.Stock(&f.printing.Stems), "stems", "label stock for stem labels")
	flags.Var(command.Stock(&f.printing.Trays), "trays", "label stock for tray cards (default: four on a sheet of the paper of --stems)")
	flags.Var(command.Name(&f.printing.Nursery), "nursery", "nursery name, for the session sheets")
	flags.Var(command.DateForm(&f.printing.Dates), "date-form", "how to write dates on the session sheets")
	flags.StringVar(&f.printing.Font, "font", "", "use the TrueType font in `FILE` instead of the built-in one")
	f.sheetFlags.register(flags)
	command.LedgerFlag(flags, &f.ledger)
	flags.BoolVar(&f.asJSON, "json", false, "print the plan as JSON")
}

// plan plans the orders of a file.
func (p program) plan(ctx context.Context, path string, f planFlags, stdout, stderr io.Writer) error {
	job := &planJob{planFlags: f, file: filepath.Base(path), today: p.today(), stderr: stderr}
	job.name = strings.TrimLeft(strings.TrimSuffix(job.file, filepath.Ext(path)), ".")
	if job.name == "" {
		job.name = "orders"
	}
	if job.from.IsZero() {
		job.from = job.today.AddDate(0, 0, 1)
	}
	if job.from.Before(job.today) {
		return &command.UsageError{Err: fmt.Errorf("--from %v is in the past; today is %s", job.from.Format(time.DateOnly), job.today.Format(time.DateOnly))}
	}
	if err := job.run(ctx, path); err != nil {
		return err
	}
	write := job.summary
	if f.asJSON {
		write = job.summaryJSON
	}
	if err := write(stdout); err != nil {
		return err
	}
	return job.short()
}

// today is the calendar day of the clock, at midnight UTC.
func (p program) today() time.Time { return records.Midnight(p.now()) }

// planJob is one run of "plan".
type planJob struct {
	planFlags
	file   string   // of the orders
	name   string   // what the files' names begin with
	used   []string // the orders and the ledger, which no file replaces
	today  time.Time
	stderr io.Writer

	plan.Plan // whose Drafts are in the order of work
	files     []string
}

func (j *planJob) run(ctx context.Context, path string) error {
	orders, err := j.read(path)
	if err != nil {
		return err
	}
	calendar, err := command.LoadCalendar()
	if err != nil {
		return err
	}
	book, err := command.LedgerPath(j.ledger)
	if err != nil {
		return err
	}
	j.used = []string{path, book}
	histories, err := historiesOf(ctx, book)
	if err != nil {
		return err
	}
	if histories == nil {
		command.Hint(j.stderr, fmt.Sprintf("there is no ledger %s yet, so the plan knows no earlier batches and assumes an empty mist bed", book))
	}
	j.Plan, err = plan.Make(ctx, orders, histories, calendar, plan.Options{
		Today: j.today, From: j.from, BedSpaces: j.bed.BedSpaces, GraftsADay: j.aDay, Off: j.off.off,
		Take: j.take, Sure: j.sure, TraySize: j.tray,
	})
	var faults plan.Faults
	if errors.As(err, &faults) {
		var cells manifest.Errors
		for _, f := range faults {
			cells = append(cells, &manifest.CellError{File: j.file, Row: f.Row, Column: f.Column, Found: f.Found, Expected: f.Expected})
		}
		return command.Advise(cells, "lower the chance (sure), split the row or use larger trays; nothing was planned and no file was written")
	}
	if err != nil {
		return err
	}
	slices.SortStableFunc(j.Drafts, labels.CompareWork)
	for _, hint := range j.Hints {
		command.Hint(j.stderr, hint)
	}
	return j.write()
}

// historiesOf reads all batches of a ledger; nil where there is no ledger.
func historiesOf(ctx context.Context, path string) ([]records.History, error) {
	book, err := ledger.OpenExisting(ctx, path)
	if errors.Is(err, ledger.ErrMissing) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer book.Close()
	histories, err := book.Histories(ctx)
	if histories == nil {
		histories = []records.History{} // there is a ledger
	}
	return histories, err
}

func (j *planJob) read(path string) ([]records.Order, error) {
	cannot := func(err error) error {
		return &command.HintedError{Err: fmt.Errorf("cannot read the orders: %w", err), Advice: "name a spreadsheet with the columns variety, stock, wanted"}
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, cannot(err)
	}
	defer file.Close()
	options, err := j.options(j.today)
	if err != nil {
		return nil, err
	}
	read, err := manifest.ReadOrders(j.file, file, options)
	var wrong *fs.PathError // of a folder it is known only now
	if errors.As(err, &wrong) {
		return nil, cannot(wrong)
	}
	var faults manifest.Errors
	if errors.As(err, &faults) {
		return nil, command.Advise(err, "correct these and plan again; nothing was planned and no file was written")
	}
	for _, hint := range read.Hints {
		command.Hint(j.stderr, hint)
	}
	return read.Orders, err
}

// short is an error for each order that is not planned in full; nil where all
// are.
func (j *planJob) short() error {
	var errs []error
	var hopeless []string // rows
	late, days := 0, 0    // orders whose last day for grafting is past, and the days they take
	for _, o := range j.Orders {
		if o.Short > 0 {
			errs = append(errs, fmt.Errorf("%s row %d, %s: %s", j.file, o.Row, o.Pair(), o.ShortWords()))
		}
		if o.Short > 0 && o.Latest.Before(j.from) {
			late, days = late+1, max(days, o.Days)
		}
		if o.Hopeless() {
			hopeless = append(hopeless, fmt.Sprint(o.Row))
		}
	}
	if len(errs) == 0 {
		return nil
	}
	advice := "to fit more, raise --bed-spaces or --a-day, begin earlier with --from, or set a later date in column by; "
	if late == len(errs) {
		advice = fmt.Sprintf("set a later date in column by: plants take about %d days from grafting; ", days)
	}
	if len(j.files) == 0 {
		advice += "nothing could be planned, and no file was written"
	} else {
		advice += "the files hold the best plan found for the rest"
	}
	switch {
	case len(j.Orders) == 1: // no others
	case len(hopeless) == 1:
		advice += fmt.Sprintf("; row %s cannot be met: delete row %[1]s and plan again, and the other rows get its bed spaces and days", hopeless[0])
	case len(hopeless) > 1:
		advice += fmt.Sprintf("; rows %s cannot be met: delete them and plan again, and the other rows get their bed spaces and days", strings.Join(hopeless, ", "))
	}
	return command.Advise(errors.Join(errs...), advice)
}
