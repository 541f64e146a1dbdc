package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// reprintFlags are the flags of "reprint".
type reprintFlags struct {
	pressFlags
	tray    records.Numbers
	kinds   printKinds
	name    string
	variety string
	stock   string
	date    time.Time
	missing string
	amended bool
	spare   command.SpareLabels
}

func (p program) reprintCommand() *cobra.Command {
	f := reprintFlags{pressFlags: newPressFlags()}
	c := &cobra.Command{
		Use:   "reprint [CODE|BATCH [STEMS]|NAME]...",
		Short: "Print lost labels and cards again, with the codes they had",
		Long: `Print lost labels and cards again, with the codes they had.

  CODE           the label of a stem, the card of a tray, or another spare label
  BATCH          all labels and cards of a batch; give the beginning of its codes, 26329-004
  BATCH STEMS    the labels of these stems of a batch, such as 26329-004 17-23,40
  NAME           the batch with part of its variety, rootstock, source, grafter or note

With --missing, reprint reads a scan of a tray and prints the labels of the stems that the scan does not show. Scan
the card too, or name the tray.`,
		Example: `  graftslip reprint 26329-004-0017-63
  graftslip reprint 26329-004 17-23,40
  graftslip reprint 26329-004 --tray 2 --what both
  graftslip reprint --amended
  graftslip reprint amber weather --date 2026-11-25
  slipread tray.jpg | graftslip reprint --missing -`,
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			return p.reprint(c.Context(), args, f, c.InOrStdin(), c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.Var(command.Numbers(&f.tray), "tray", "trays of the batches you name")
	flags.Var(command.Value(&f.kinds, "labels|cards|both", parsePrintKinds, func(s printKinds) string { return string(s) }), "what", "what to print (default: all of a batch, the label of a stem, the card of a tray)")
	flags.StringVar(&f.variety, "variety", "", "batches of the variety `NAME`")
	flags.StringVar(&f.stock, "stock", "", "batches on the rootstock `NAME`")
	flags.Var(command.Date(&f.date), "date", "batches grafted on this day")
	flags.StringVar(&f.missing, "missing", "", "read scanned codes of a tray from `FILE`, or from standard input (-), and print the labels not among them")
	flags.BoolVar(&f.amended, "amended", false, "all labels and cards whose record was amended after they were printed")
	flags.Var(command.Spare(&f.spare), "spare", "spare labels to add for each batch")
	f.pressFlags.register(flags)
	command.NotSetting(flags, "spare")
	return c
}

func (p program) reprint(ctx context.Context, args []string, f reprintFlags, stdin io.Reader, stdout, stderr io.Writer) error {
	press, err := newPress(f.pressFlags, "reprint", stderr)
	if err != nil {
		return err
	}
	asked, name, err := readArguments(args)
	if err != nil {
		return err
	}
	f.name = name
	if err := f.check(asked); err != nil {
		return err
	}
	book, err := command.OpenLedger(ctx, f.ledger, ledger.WithClock(p.now))
	if err != nil {
		return err
	}
	defer book.Close()
	press.ledger = book.Path()
	s := &selection{reprintFlags: f, book: book, stderr: stderr}
	pieces, err := s.choose(ctx, asked, stdin)
	if err == nil && len(pieces) > 0 {
		err = press.again(ctx, book, pieces)
	}
	if err != nil {
		return press.advised(ctx, err)
	}
	press.hintModule()
	if f.asJSON {
		return press.reprintedJSON(stdout, pieces)
	}
	return press.reprinted(stdout, pieces)
}

// again prints pieces of batches and writes down that it was done. Files of an
// earlier reprint stay as they are.
func (p *press) again(ctx context.Context, book *ledger.Ledger, pieces []piece) error {
	p.name = p.freshName(pieces)
	staged, err := command.Stage(p.folder, p.used...)
	if err != nil {
		return p.cannotWrite(err)
	}
	defer staged.Discard()
	staged.NeverReplace()
	if err := p.choosePlaces(ctx, book); err != nil {
		return err
	}
	if err := p.write(ctx, staged, pieces); err != nil {
		return err
	}
	err = p.handOver(ctx, book, staged, pieces, reprintsOf(pieces))
	if err != nil && ctx.Err() == nil {
		err = command.Advise(err, p.undone())
	}
	return err
}

// freshName is what the files' names begin with: the batch, if there is but one,
// and a number where files of that name already exist.
func (p *press) freshName(pieces []piece) string {
	name := "reprint-" + pieces[0].batch.Code.BatchName()
	if more := len(pieces) - 1; more > 0 {
		name += fmt.Sprintf("-and-%d-more", more)
	}
	there, _ := os.ReadDir(p.folder) // none where there is no folder yet
	taken := func(name string) bool {
		return slices.ContainsFunc(p.piles(), func(pile *pile) bool {
			return slices.ContainsFunc(there, func(e os.DirEntry) bool { return strings.HasPrefix(e.Name(), name+pile.suffix) })
		})
	}
	numbered := name
	for n := 2; taken(numbered); n++ {
		numbered = fmt.Sprintf("%s-%d", name, n)
	}
	return numbered
}

func reprintsOf(pieces []piece) []records.Reprint {
	var reprints []records.Reprint
	for _, piece := range pieces {
		for _, r := range []records.Reprint{
			{Kind: codes.Stem, Units: piece.stems, Count: len(piece.stems)},
			{Kind: codes.Tray, Units: piece.trays, Count: len(piece.trays)},
			{Kind: codes.Batch, Count: piece.spares},
		} {
			if r.Count > 0 {
				r.Batch, r.Amendment = piece.batch.Code, piece.batch.LastAmendment()
				reprints = append(reprints, r)
			}
		}
	}
	return reprints
}

// numbered is a noun with its numbers: stem 17, stems 17-19.
func numbered(noun string, numbers records.Numbers) string {
	if len(numbers) > 1 {
		noun += "s"
	}
	return noun + " " + numbers.String()
}

func (p *press) reprinted(w io.Writer, pieces []piece) error {
	var words strings.Builder
	for _, piece := range pieces {
		var what []string
		if len(piece.stems) > 0 {
			what = append(what, numbered("stem", piece.stems))
		}
		if piece.spares > 0 {
			what = append(what, fmt.Sprintf("spare labels: %d", piece.spares))
		}
		if len(piece.trays) > 0 {
			what = append(what, "card of "+numbered("tray", piece.trays))
		}
		fmt.Fprintf(&words, "%s  %s  %s\n", piece.batch.Code.BatchName(), records.Pair(piece.batch.Variety, piece.batch.Stock), strings.Join(what, ", "))
	}
	_, err := io.WriteString(w, words.String()+p.filesWords())
	return err
}

func (p *press) reprintedJSON(w io.Writer, pieces []piece) error {
	type line struct {
		batchLine
		Stems  string `json:"stem_numbers,omitempty"`
		Spares int    `json:"spare,omitempty"`
		Trays  string `json:"tray_numbers,omitempty"`
	}
	summary := struct {
		Batches []line `json:"batches"`
		printed
	}{[]line{}, p.printed()}
	for _, piece := range pieces {
		summary.Batches = append(summary.Batches, line{newBatchLine(piece.batch), piece.stems.String(), piece.spares, piece.trays.String()})
	}
	return json.NewEncoder(w).Encode(summary)
}

// printKinds is what is printed of what is named: labels, cards or both.
type printKinds string

const (
	asNamed    printKinds = ""
	onlyLabels printKinds = "labels"
	onlyCards  printKinds = "cards"
	bothKinds  printKinds = "both"
)

func parsePrintKinds(name string) (printKinds, error) {
	switch kinds := printKinds(strings.ToLower(name)); kinds {
	case onlyLabels, onlyCards, bothKinds:
		return kinds, nil
	}
	return asNamed, errors.New("choose labels, cards or both")
}
