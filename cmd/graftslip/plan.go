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
	slips     command.SlipFlags
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
	f := planFlags{slips: command.NewSlipFlags(), sure: 0.9, woodSpare: command.SpareLabels{Number: 5, Percent: true}}
	c := &cobra.Command{
		Use:   "plan ORDERS",
		Short: "Plan how many grafts to make, on which days, so that enough plants are finished",
		Long: `Plan how many grafts to make, on which days, so that enough plants are finished.

ORDERS is a CSV file with a row for each pair that is wanted. Columns: variety, stock, wanted (finished plants); if wanted
by (the day on which they must be finished), sure (the chance of enough, as in 90%), grafts (how many to make, whatever the
chance), and source, tray, stem, grafter, wrap and note as in a manifest.

How many grafts take is learned from the batches in the ledger that are finished. The plan keeps to the places under mist
and the grafts a day that you name, beside what stands under mist and is labelled for coming days.

It writes ORDERS-plan.csv, a manifest for "graftslip print", and ORDERS-sessions.pdf, a page to work from for each day.
Where not all grafts find a place, both hold the best plan there is, what is short is named, and the exit code is 1.`,
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
	flags.StringVar(&f.folder, "out", ".", "folder for the files, made when missing")
	flags.Var(command.Date(&f.from), "from", "first day on which something may be grafted (else tomorrow)")
	flags.Var(command.Places(&f.bed.Places), "bed-spaces", "how many trays the mist bed holds (else no limit)")
	flags.Var(grafts(&f.aDay), "a-day", "grafts that can be made in a day (else no limit)")
	flags.Var(command.Value(&f.off, "DAYS", parseDaysOff, daysOff.String), "off", "weekdays and dates on which nobody grafts, such as sat,sun,2026-12-25")
	flags.Var(share(&f.sure), "sure", "chance of enough finished plants, for rows that do not say")
	flags.Var(share(&f.take), "take", "share of grafts that become plants, instead of what the ledger tells")
	flags.Var(grafts(&f.tray), "tray", "grafts a tray, for rows that do not say (else all of a session in one)")
	flags.Var(command.Spare(&f.woodSpare), "wood-spare", "scions and stock cuttings to cut beyond the grafts")
	flags.Var(command.Spare(&f.spare), "spare", "spare labels for each batch, as you will print them")
	flags.Var(paper(&f.paper), "paper", "paper of the session sheets (else that of the label stock)")
	flags.Var(command.Stock(&f.slips.Stems), "stems", "label stock of the stem labels")
	flags.Var(command.Stock(&f.slips.Trays), "trays", "label stock of the tray cards")
	flags.Var(command.Name(&f.slips.Nursery), "nursery", "name of the nursery, for the session sheets")
	flags.Var(command.DateForm(&f.slips.Dates), "date-form", "how dates are written on the session sheets")
	flags.StringVar(&f.slips.Font, "font", "", "TrueType font `FILE` instead of the built-in one")
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
		return &command.UsageError{Err: fmt.Errorf("--from %v is in the past, today is %s", job.from.Format(time.DateOnly), job.today.Format(time.DateOnly))}
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
	file   string // of the orders
	name   string // what the files' names begin with
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
	histories, err := historiesOf(ctx, book)
	if err != nil {
		return err
	}
	if histories == nil {
		command.Hint(j.stderr, fmt.Sprintf("there is no ledger %s yet, so nothing is known of earlier batches and of the mist bed", book))
	}
	j.Plan, err = plan.Make(ctx, orders, histories, calendar, plan.Options{
		Today: j.today, From: j.from, Places: j.bed.Places, GraftsADay: j.aDay, Off: j.off.off,
		Take: j.take, Sure: j.sure, TraySize: j.tray,
	})
	var faults plan.Faults
	if errors.As(err, &faults) {
		var cells manifest.Errors
		for _, f := range faults {
			cells = append(cells, &manifest.CellError{File: j.file, Row: f.Row, Column: f.Column, Found: f.Found, Expected: f.Expected})
		}
		return command.Advise(cells, "nothing was planned and no file was written: a smaller chance (sure) or several rows would do")
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
		return &command.HintedError{Err: fmt.Errorf("cannot read the orders: %w", err), Advice: "name a CSV file with the columns variety, stock, wanted"}
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, cannot(err)
	}
	defer file.Close()
	read, err := manifest.ReadOrders(j.file, file, j.today)
	var wrong *fs.PathError // of a folder it is known only now
	if errors.As(err, &wrong) {
		return nil, cannot(wrong)
	}
	var faults manifest.Errors
	if errors.As(err, &faults) {
		return nil, command.Advise(err, "nothing was planned and no file was written: mend these and plan again")
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
	for _, o := range j.Orders {
		if o.Short > 0 {
			errs = append(errs, fmt.Errorf("%s row %d, %s: %s", j.file, o.Row, o.Pair(), o.ShortWords()))
		}
		if o.Hopeless() {
			hopeless = append(hopeless, fmt.Sprint(o.Row))
		}
	}
	if len(errs) == 0 {
		return nil
	}
	advice := "the files hold the best plan that was found for the rest"
	if len(j.files) == 0 {
		advice = "nothing could be planned, and no file was written"
	}
	advice += "; more places, more grafts a day, an earlier --from or a later day would help"
	switch {
	case len(j.Orders) == 1: // no others
	case len(hopeless) == 1:
		advice += fmt.Sprintf("; row %s cannot be met; take it out and plan again, the room goes to others", hopeless[0])
	case len(hopeless) > 1:
		advice += fmt.Sprintf("; rows %s cannot be met; take them out and plan again, the room goes to others", strings.Join(hopeless, ", "))
	}
	return command.Advise(errors.Join(errs...), advice)
}
