package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
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
)

// printFlags are the flags of "print".
type printFlags struct {
	pressFlags
	sheetFlags
	spare command.SpareLabels
	date  time.Time
	portion
	asNew    records.Numbers // rows
	preview  bool
	replace  bool
	cautions bool
}

func (p program) printCommand() *cobra.Command {
	f := printFlags{pressFlags: newPressFlags()}
	c := &cobra.Command{
		Use:   "print MANIFEST",
		Short: "Print stem labels and tray cards for the batches of a manifest",
		Long: `Print stem labels and tray cards for the batches of a manifest.

MANIFEST is a spreadsheet, .xlsx or CSV, with one row for each batch. Its columns:

  variety, stock, grafts   the pair, and how many grafts
  date                     graft date, such as 2026-11-25 or 25.11.2026 (optional)
  source, grafter, note    where the scions come from, who grafts, a note (optional)
  tray                     grafts per tray (optional)
  stem, label wrap         stem diameter such as 8mm; flag, loop, band or flat (optional)

Each batch gets its code once. Print the same manifest again and you get the same labels. If a new row looks like an
earlier batch, mistyped or moved to another day, print asks before it writes anything.

Print the PDF files at 100 %, never "fit to page".`,
		Example: `  graftslip print tomorrow.csv --stems letter-2x10 --label-wrap flag --stem 8mm --spare 5%
  graftslip print orders-plan.csv --day 2026-12-02 --preview`,
		Args: command.OneArgument("manifest"),
		RunE: func(c *cobra.Command, args []string) error {
			return p.print(c.Context(), args[0], f, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	f.register(c.Flags())
	return c
}

func (f *printFlags) register(flags *pflag.FlagSet) {
	f.pressFlags.register(flags)
	f.sheetFlags.register(flags)
	f.portion.register(flags)
	flags.BoolVar(&f.preview, "preview", false, "write only the first sheets, as PDF and PNG, without codes: nothing is issued")
	flags.BoolVar(&f.replace, "replace", false, "replace files that hold other labels or cards")
	command.NotSetting(flags, "preview")
	command.NotSetting(flags, "replace")
	flags.Var(command.Spare(&f.spare), "spare", "spare labels for each batch, without a stem number")
	flags.Var(command.Date(&f.date), "date", "graft date, for rows that give none (default: today)")
	flags.Var(command.Value(&f.asNew, "ROWS", records.ParseNumbers, records.Numbers.String), "as-new", "make these rows new batches, although they look like earlier ones")
	command.NotSetting(flags, "as-new")
	flags.BoolVar(&f.cautions, "cautions", true, "leave out the reminders of protected varieties and plant passports")
}

func (p program) print(ctx context.Context, path string, f printFlags, stdout, stderr io.Writer) error {
	file := filepath.Base(path)
	name := strings.TrimLeft(strings.TrimSuffix(file, filepath.Ext(path)), ".")
	if name == "" {
		name = "session"
	}
	if err := f.portion.check(); err != nil {
		return err
	}
	s, err := newPress(f.pressFlags, name+f.portion.name(), stderr)
	if err != nil {
		return err
	}
	s.manifest, s.keepOthers = file, !f.replace
	s.used = append(s.used, path)
	all, chosen, err := s.read(ctx, path, f, p.now())
	if err == nil && f.preview {
		return s.advised(ctx, s.preview(ctx, chosen, f.spare, stdout))
	}
	var issued []records.Issued
	var fresh bool
	if err == nil {
		issued, fresh, err = s.issue(ctx, all, chosen, f, p.now)
	}
	if err != nil {
		return s.advised(ctx, err)
	}
	s.hints(issued, fresh)
	hintAsNew(stderr, issued, f.asNew)
	if f.cautions {
		command.Caution(stderr, labels.ProtectedCaution)
		command.Caution(stderr, labels.LeavingCaution)
	}
	if f.asJSON {
		return s.summaryJSON(stdout, issued)
	}
	return s.summary(stdout, issued)
}

// issue gives the chosen rows of a manifest their codes and writes the files. The files
// are whole on the disk, under temporary names, before the ledger commits; after
// that they are handed over, and if that fails, printing again gives the same
// labels. It reports whether the ledger is new.
func (p *press) issue(ctx context.Context, all, chosen []records.Draft, f printFlags, now func() time.Time) (issued []records.Issued, fresh bool, err error) {
	ledgerPath, err := command.LedgerPath(f.ledger)
	if err != nil {
		return nil, false, err
	}
	staged, err := command.Stage(p.folder, p.used...)
	if err != nil {
		return nil, false, p.cannotWrite(err)
	}
	defer staged.Discard()
	book, err := ledger.Open(ctx, ledgerPath, ledger.WithClock(now))
	if err != nil {
		return nil, false, err
	}
	defer book.Close()
	p.ledger = book.Path()
	if fresh, err = book.Empty(ctx); err != nil {
		return nil, false, err
	}
	if err := p.choosePlaces(ctx, book); err != nil {
		return nil, false, err
	}
	var pieces []piece
	issued, err = book.Issue(ctx, all, func(_ *ledger.Change, issued []records.Issued) error {
		pieces = wholeBatches(chosen, issued, f.spare)
		return p.write(ctx, staged, pieces)
	}, ledger.Only(f.chosen), ledger.AsNew(f.asNew))
	err = answers(err, f.asNew)
	if errors.Is(err, ledger.ErrUnusable) {
		err = command.Advise(err, p.undone())
	}
	if err != nil {
		return nil, false, err
	}
	p.issued = true
	if err := p.handOver(ctx, book, staged, pieces, reprintsOf(amendedOnes(pieces))); err != nil {
		if ctx.Err() == nil {
			err = command.Advise(err, p.undone())
		}
		return nil, false, err
	}
	return issued, fresh, nil
}

// wholeBatches are all labels and cards of what was issued, for the stem and in
// the wrap of this manifest: an earlier one's do not hold for them.
func wholeBatches(drafts []records.Draft, issued []records.Issued, spare command.SpareLabels) []piece {
	pieces := make([]piece, len(issued))
	for n, i := range issued {
		label := i.Batch
		label.Stem, label.Wrap = drafts[n].Stem, drafts[n].Wrap
		pieces[n] = piece{batch: i.Batch, label: label, stems: records.Range(1, i.Grafts), spares: spare.Of(i.Grafts), trays: records.Range(1, i.Trays())}
	}
	return pieces
}

// amendedOnes are the pieces that show an amended record from now on; the ledger keeps them.
func amendedOnes(pieces []piece) []piece {
	return slices.DeleteFunc(slices.Clone(pieces), func(p piece) bool { return len(p.batch.Amendments) == 0 })
}

// hints writes what a grower should know although nothing is wrong.
func (p *press) hints(issued []records.Issued, fresh bool) {
	if fresh {
		command.Hint(p.stderr, "this ledger is new; only the ledger keeps a code from being given twice, so use one for the whole nursery and back it up")
	}
	var known records.Numbers // rows
	for _, i := range issued {
		if i.State == records.Known || i.State == records.Kept {
			known = append(known, i.Row)
		}
	}
	if len(known) > 0 {
		verb := "was"
		if len(known) > 1 {
			verb = "were"
		}
		command.Hint(p.stderr, fmt.Sprintf("%s %s printed before, so the same labels come out; for new plants, change the source or raise the grafts", known.Rows(), verb))
	}
	if rows := alike(issued); rows != "" {
		command.Hint(p.stderr, fmt.Sprintf("rows %s are the same but become separate batches; if you pasted one twice, delete it before the next session", rows))
	}
	p.hintStale()
	p.hintModule()
}

// hintStale names files of this name that are from an earlier print.
func (p *press) hintStale() {
	there, _ := os.ReadDir(p.folder) // what cannot be listed is passed over
	for _, pile := range p.piles() {
		for _, file := range there {
			old := regexp.MustCompile("^" + regexp.QuoteMeta(p.name+pile.suffix) + `(-\d+)?\.pdf$`).MatchString(file.Name())
			if old && !slices.ContainsFunc(pile.parts, func(part part) bool { return part.name == file.Name() }) {
				command.Hint(p.stderr, filepath.Join(p.folder, file.Name())+" is from an earlier print; do not print it again")
			}
		}
	}
}

// alike lists rows of new batches with the same pair, source and grafter.
func alike(issued []records.Issued) string {
	rows := map[[5]string][]string{}
	var order [][5]string
	for _, i := range issued {
		if i.State != records.New {
			continue
		}
		key := [5]string{i.Date.Format(time.DateOnly), records.Key(i.Variety), records.Key(i.Batch.Stock), records.Key(i.Source), records.Key(i.Grafter)}
		if rows[key] == nil {
			order = append(order, key)
		}
		rows[key] = append(rows[key], strconv.Itoa(i.Row))
	}
	var lists []string
	for _, key := range order {
		if len(rows[key]) > 1 {
			lists = append(lists, strings.Join(rows[key], " and "))
		}
	}
	return strings.Join(lists, ", ")
}

// hintModule warns of modules too small for most phones, and of what labels leave out.
func (p *press) hintModule() {
	if p.smallestModule > 0 {
		command.Hint(p.stderr, fmt.Sprintf("the smallest modules are %s mm; phones read 0.33 mm and more easily: try larger labels, another --symbol or another --label-wrap",
			layouts.FormatNumber(p.smallestModule)))
	}
	for _, omits := range slices.Sorted(maps.Keys(p.omitted)) {
		rows := ""
		if p.omitted[omits][0] > 0 {
			rows = " (" + p.omitted[omits].Rows() + ")"
		}
		command.Hint(p.stderr, fmt.Sprintf("%s has no room for %s%s; slipread shows them for the code, and longer labels may have room", p.Stems.Name, omits, rows))
	}
}

// read returns the manifest's drafts: all of them, and those to print. The error lists every
// fault of those to print, in cells or in what does not fit on a label, by row.
func (p *press) read(ctx context.Context, path string, f printFlags, now time.Time) (all, chosen []records.Draft, err error) {
	options, err := f.options(now)
	if err != nil {
		return nil, nil, err
	}
	options.Date, options.Counts = f.date, f.has
	file, err := os.Open(path)
	if err != nil {
		return nil, nil, &command.HintedError{Err: fmt.Errorf("cannot read the manifest: %w", err), Advice: "name a spreadsheet with the columns date, variety, stock, grafts"}
	}
	defer file.Close()
	read, err := manifest.Read(p.manifest, file, options)
	var faults manifest.Errors
	if err != nil && !errors.As(err, &faults) {
		return nil, nil, err
	}
	chosen, none := f.of(p.manifest, read.Drafts)
	tried, err := p.tryDesigns(ctx, chosen)
	if err == nil {
		err = tried.err(faults.Unwrap(), p)
	}
	switch {
	case err != nil:
		return nil, nil, err
	case none != nil:
		return nil, nil, none
	case !f.date.IsZero() && read.Dated:
		return nil, nil, &command.HintedError{Err: fmt.Errorf("--date %s: every row of %s has its own date", f.date.Format(time.DateOnly), p.manifest),
			Advice: "to print only the rows of one day, give --day"}
	}
	for _, hint := range read.Hints {
		command.Hint(p.stderr, hint)
	}
	return read.Drafts, chosen, nil
}
