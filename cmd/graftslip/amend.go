package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
	"graftslip/records/manifest"
)

// amendFlags are the flags of "amend" and "void".
type amendFlags struct {
	date   time.Time
	texts  map[string]*string // of the other fields that can be amended
	reason string
	undo   bool
	by     string
	ledger string
	asJSON bool
}

func (p program) amendCommand() *cobra.Command {
	f := amendFlags{texts: map[string]*string{}}
	c := &cobra.Command{
		Use:   "amend [BATCH]",
		Short: "Put the record of a batch right: a name, the graft date, a note",
		Long: `Put the record of a batch right: a name, the graft date, a note. Its codes stay, so labels in use keep working;
graftslip reprint --amended prints new ones. Without BATCH, list what was amended.

BATCH is the beginning of its codes, such as 26329-004, or one of them. An empty text, as in --note "", removes the old one.
--undo undoes the last amendment; repeat it for the one before. To raise the number of grafts, print the manifest again
with more. The tray size stays, because cards count stems by it.`,
		Example: `  graftslip amend 26329-004 --variety "Blue Lantern" --by MK
  graftslip amend 26329-004 --date 2026-11-28
  graftslip amend 26329-004 --undo`,
		Args: command.Arguments(cobra.MaximumNArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			changes, err := f.changes(c.Flags(), p.now())
			switch {
			case err != nil:
				return &command.UsageError{Err: err}
			case len(args) == 0 && (len(changes) > 0 || f.undo):
				return &command.UsageError{Err: errors.New("name the batch to amend, such as 26329-004")}
			case len(args) == 0:
				return p.amended(c.Context(), f, c.OutOrStdout(), c.ErrOrStderr())
			case f.undo == (len(changes) > 0):
				return &command.UsageError{Err: errors.New("name what to amend, as in --variety NAME, or --undo the last amendment")}
			}
			return p.amend(c, args[0], f, func(h records.History) (records.Amendment, error) {
				if f.undo {
					return h.Undo(false)
				}
				return h.Amend(changes)
			})
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.Var(command.Date(&f.date), "date", "the graft date")
	for _, field := range []struct{ name, usage string }{
		{"variety", "the scion's `NAME`"}, {"stock", "the rootstock's `NAME`"}, {"source", "where the scions come from, as `TEXT`"},
		{"grafter", "`NAME` of the grafter"}, {"note", "`TEXT` of up to 120 letters"},
	} {
		f.texts[field.name] = flags.String(field.name, "", field.usage)
	}
	f.register(flags, "undo the last amendment of the batch")
	return c
}

func (p program) voidCommand() *cobra.Command {
	f := amendFlags{}
	c := &cobra.Command{
		Use:   "void BATCH",
		Short: "Record that a batch was never made",
		Long: `Record that a batch was never made. It leaves the bed, the lists and the rates. Its codes are never given
again, and whoever scans one sees that it is void. A batch with entries cannot become void.

For single labels that were never used, run slipread log CODE --unused N instead.`,
		Example: `  graftslip void 26329-004 --reason "scions never came" --by MK
  graftslip void 26329-004 --undo`,
		Args: command.OneArgument("batch"),
		RunE: func(c *cobra.Command, args []string) error {
			if f.undo && f.reason != "" {
				return &command.UsageError{Err: errors.New("--reason and --undo cannot go together")}
			}
			reason, err := manifest.Value("note", f.reason, p.now())
			if err != nil {
				return &command.UsageError{Err: fmt.Errorf("--reason: %w", err)}
			}
			return p.amend(c, args[0], f, func(h records.History) (records.Amendment, error) {
				if f.undo {
					return h.Undo(true)
				}
				return h.MakeVoid(reason)
			})
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.reason, "reason", "", "`TEXT` of up to 120 letters, shown whenever one of its codes is scanned")
	f.register(flags, "the batch was made after all")
	return c
}

func (f *amendFlags) register(flags *pflag.FlagSet, undo string) {
	flags.BoolVar(&f.undo, "undo", false, undo)
	flags.Var(command.Name(&f.by), "by", "name or initials of who records this")
	command.LedgerFlag(flags, &f.ledger)
	flags.BoolVar(&f.asJSON, "json", false, "print one JSON object per batch")
}

// changes returns the changes that the flags ask for.
func (f *amendFlags) changes(flags *pflag.FlagSet, today time.Time) ([]records.Change, error) {
	settings, err := command.LoadSettings()
	if err != nil {
		return nil, err
	}
	var changes []records.Change
	for _, field := range records.AmendableFields() {
		if !flags.Changed(field) {
			continue
		}
		text := f.date.Format(time.DateOnly)
		if field != "date" {
			text = *f.texts[field]
		}
		is, err := manifest.Value(field, text, today)
		if err != nil {
			return nil, fmt.Errorf("--%w", err)
		}
		if field == "variety" || field == "stock" {
			is = settings.Names.Settled(is)
		}
		changes = append(changes, records.Change{Field: field, Is: is})
	}
	return changes, nil
}

// amend makes an amendment and prints what it changed.
func (p program) amend(c *cobra.Command, name string, f amendFlags, amending func(records.History) (records.Amendment, error)) error {
	read := lookup.Parse(name)
	if read.Invalid != nil && read.Form != lookup.Name {
		return &command.UsageError{Err: &command.HintedError{Err: fmt.Errorf("%q: %w", name, read.Invalid), Advice: "name a batch, as in 26329-004, or one of its codes"}}
	}
	book, err := command.OpenLedger(c.Context(), f.ledger, ledger.WithClock(p.now))
	if err != nil {
		return err
	}
	defer book.Close()
	if read.Form == lookup.Name {
		return needsCode(c, book, name)
	}
	was, is, err := book.Amend(c.Context(), read.Code, f.by, amending)
	if err != nil {
		return err
	}
	line, err := amendedOf(c.Context(), book, is)
	if err != nil {
		return err
	}
	if len(is.Amendments) == len(was.Amendments) {
		command.Hint(c.ErrOrStderr(), fmt.Sprintf("the record of batch %s already says this; nothing was changed", is.Code.BatchName()))
	} else if !f.asJSON && line.outdated() != "" {
		command.Hint(c.ErrOrStderr(), fmt.Sprintf("the codes stay, but %s still show the old text; graftslip reprint --amended prints new ones", line.outdated()))
	}
	if f.asJSON {
		return json.NewEncoder(c.OutOrStdout()).Encode(line)
	}
	return line.write(c.OutOrStdout(), is.Amendments[len(was.Amendments):])
}

// needsCode is the error for a batch that is given by a name, with the batches that have it. A
// record is not changed by what several may share.
func needsCode(c *cobra.Command, book *ledger.Ledger, name string) error {
	all, err := book.Search(c.Context(), ledger.Wanted{})
	if err != nil {
		return err
	}
	names := lookup.NamesOf(all)
	at, _ := names.Search(name)
	found := names.Batches(at)
	if len(found) == 0 {
		return names.None(name)
	}
	return lookup.Several(fmt.Sprintf("%s needs a code, and %q is a name; it matches %s", c.Name(), name, records.Counted(len(found), "batch")), found,
		fmt.Sprintf("give the code: graftslip %s %s", c.Name(), found[0].Code.BatchName()))
}

// amended lists the batches that were amended.
func (p program) amended(ctx context.Context, f amendFlags, stdout, stderr io.Writer) error {
	book, err := command.OpenLedger(ctx, f.ledger)
	if err != nil {
		return err
	}
	defer book.Close()
	batches, err := book.Amendments(ctx)
	if err != nil {
		return err
	}
	var lines []amendedLine
	for _, batch := range batches {
		line, err := amendedOf(ctx, book, batch)
		if err != nil {
			return err
		}
		lines = append(lines, line)
	}
	if f.asJSON {
		return command.JSONLines(stdout, lines)
	}
	if len(lines) == 0 {
		command.Hint(stderr, "no batch was amended; to amend one, name it, as in graftslip amend 26329-004 --variety NAME")
	}
	for _, line := range lines {
		if err := line.write(stdout, line.batch.Amendments); err != nil {
			return err
		}
		if old := line.outdated(); old != "" {
			if _, err := fmt.Fprintf(stdout, "  %s still show the old text; graftslip reprint --amended prints new ones\n", old); err != nil {
				return err
			}
		}
	}
	return nil
}

// amendedLine is a batch that was amended, as JSON.
type amendedLine struct {
	batchLine
	Void       bool                    `json:"void,omitempty"`
	Amendments []command.AmendmentJSON `json:"amendments"`
	Stems      string                  `json:"stem_numbers,omitempty"` // whose labels show the old text
	Trays      string                  `json:"tray_numbers,omitempty"` // whose cards do

	batch        records.Batch
	stems, trays records.Numbers
}

func amendedOf(ctx context.Context, book *ledger.Ledger, batch records.Batch) (amendedLine, error) {
	reprints, err := book.ReprintsOf(ctx, batch.Code)
	stems, trays := batch.Outdated(reprints)
	return amendedLine{newBatchLine(batch), batch.Void, command.NewAmendmentsJSON(batch), stems.String(), trays.String(), batch, stems, trays}, err
}

// outdated names the labels and cards that show the old text, "" when none does.
func (l amendedLine) outdated() string {
	var what []string
	if len(l.stems) > 0 {
		what = append(what, "labels of "+numbered("stem", l.stems))
	}
	if len(l.trays) > 0 {
		what = append(what, "cards of "+numbered("tray", l.trays))
	}
	return strings.Join(what, " and ")
}

// write lists a batch with some of its amendments.
func (l amendedLine) write(w io.Writer, amendments []records.Amendment) error {
	var text strings.Builder
	fmt.Fprintf(&text, "%s  %s\n", l.batch.Code.BatchName(), records.Pair(l.batch.Variety, l.batch.Stock))
	for _, a := range amendments {
		fmt.Fprintf(&text, "  %s  %s\n", a.At.Format(time.DateOnly), strings.Join(a.Parts(), "  "))
	}
	_, err := io.WriteString(w, text.String())
	return err
}
