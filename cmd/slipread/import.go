package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

func (p program) importCommand() *cobra.Command {
	v := &baseCommand{program: p}
	var until time.Time
	c := &cobra.Command{
		Use:   "import --until DATE FILE|-...",
		Short: "Bring batches back into a ledger from tray cards that carry their records",
		Long: `Bring batches back into a ledger from tray cards that carry their records, printed with --card-symbol record.

FILE is a picture, or a PDF, of cards; one card of a batch brings back all of it. With - records come from a scanner, one a line.
A batch that the ledger has is left as it is. A batch that differs from the one of the same code is refused, and then nothing is taken.

--until is the last graft date for which labels were printed with the ledger that was lost. Codes of which no card is left cannot be
known, so no new batch is issued for days up to that date. When in doubt, name a later one.`,
		Example: "  slipread import --until 2026-11-26 cards/*.jpg",
		Args:    atLeastOne("name a picture or PDF of cards, or - for a scanner"),
		RunE: func(c *cobra.Command, args []string) error {
			if until.IsZero() {
				return &command.UsageError{Err: &command.HintedError{
					Err:    errors.New("--until is missing: the last graft date for which labels were printed with the ledger that was lost"),
					Advice: "no new batch will be issued for days up to that date, so that no code is given twice; when in doubt, name a later one"}}
			}
			path, err := command.LedgerPath(v.ledgerFlag)
			if err != nil {
				return err
			}
			out, err := v.printer(c)
			if err != nil {
				return err
			}
			cards := &cards{out: out, batches: map[codes.Code]*imported{}}
			failed := p.read(c.Context(), args, c.InOrStdin(), &reader{out: out, handle: cards.take})
			if failed != nil && !errors.Is(failed, command.ErrReported) {
				return failed
			}
			if err := cards.restore(c.Context(), path, until, p.now); err != nil {
				return err
			}
			return failed
		},
	}
	c.Flags().SortFlags = false
	c.Flags().Var(command.Date(&until), "until", "last graft date for which labels were printed with the lost ledger")
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().BoolVar(&v.asJSON, "json", false, "an object for each batch")
	return c
}

// cards gathers the records that cards carry.
type cards struct {
	out     printer
	batches map[codes.Code]*imported
	read    int
}

// imported is a batch and the trays whose cards were read.
type imported struct {
	records.Batch
	trays map[int]bool
}

// take adds the record of one text. A card of a batch may have been printed
// before the batch was extended: the one with the most grafts counts.
func (c *cards) take(_ context.Context, text string, at origin) (caption, error) {
	code, err := codes.FromSymbol(text)
	if err != nil {
		err := fmt.Errorf("%q: %w", strings.TrimSpace(text), err)
		if at.argument {
			err = noFileEither(err)
		}
		return caption{}, c.out.fault(at, text, lookup.KindOf(err), err)
	}
	record, err := records.ParseLine(text)
	if err != nil {
		return caption{}, c.out.fault(at, text, noRecord, &command.HintedError{
			Err:    fmt.Errorf("%v: this slip carries a code and no record", code),
			Advice: "only cards that were printed with --card-symbol record can be brought back"})
	}
	c.read++
	batch := c.batches[record.Batch.Code]
	if batch == nil {
		batch = &imported{Batch: record.Batch, trays: map[int]bool{}}
		c.batches[record.Batch.Code] = batch
	}
	if record.Code.Kind() == codes.Tray {
		batch.trays[record.Code.Number()] = true
	}
	if d, differ := records.LastingDifference(batch.Batch, record.Batch); differ {
		return caption{}, &command.HintedError{Err: fmt.Errorf("%v: two cards of this batch do not agree: %s on one card %q, on another %q", batch.Code, d.Field, d.A, d.B),
			Advice: "bring the cards of each ledger back into a ledger of its own; nothing was taken"}
	}
	if record.Batch.Grafts > batch.Grafts {
		batch.Batch = record.Batch
	}
	return captionOf(batch.Batch), nil
}

// restore puts the batches into the ledger at path.
func (c *cards) restore(ctx context.Context, path string, until time.Time, now func() time.Time) error {
	if len(c.batches) == 0 {
		return &command.HintedError{Err: errors.New("no card with a record was read"), Advice: "nothing was taken into a ledger"}
	}
	var all []records.Batch
	for _, code := range slices.SortedFunc(maps.Keys(c.batches), codes.Compare) {
		all = append(all, c.batches[code].Batch)
	}
	book, err := ledger.Open(ctx, path, ledger.WithClock(now))
	if err != nil {
		return err
	}
	defer book.Close()
	var restored []records.Issued
	err = book.Change(ctx, func(change *ledger.Change) (err error) {
		restored, err = change.Restore(ctx, all, until)
		return err
	})
	if err != nil {
		return command.Advise(err, "nothing was taken into the ledger")
	}
	if err := c.tell(restored, book.Path()); err != nil {
		return err
	}
	return c.gaps(ctx, book, restored)
}

func (c *cards) tell(restored []records.Issued, path string) error {
	if c.out.asJSON {
		out := json.NewEncoder(c.out.stdout)
		for _, i := range restored {
			object := struct {
				recordJSON
				State string `json:"state"`
				Cards int    `json:"cards"`
			}{c.out.recordJSON(records.Record{Batch: i.Batch, Code: i.Code}, origin{}), i.State.String(), len(c.batches[i.Code].trays)}
			if err := out.Encode(object); err != nil {
				return err
			}
		}
		return nil
	}
	count := map[records.State]int{}
	var lines strings.Builder
	for _, i := range restored {
		count[i.State]++
		parts := append(c.out.described(records.Record{Batch: i.Batch, Code: i.Code}), fmt.Sprintf("cards read: %d of %d", len(c.batches[i.Code].trays), i.Trays()), i.State.String())
		fmt.Fprintln(&lines, strings.Join(parts, "  "))
	}
	_, err := fmt.Fprintf(c.out.stdout, "%scards read: %d, batches: %d (new %d, known %d, extended %d)\nledger: %s\n",
		lines.String(), c.read, len(restored), count[records.New], count[records.Known], count[records.Extended], path)
	return err
}

// gaps tells which numbers of a day are missing before others: batches of
// which no card was read.
func (c *cards) gaps(ctx context.Context, book *ledger.Ledger, restored []records.Issued) error {
	seen := map[time.Time]bool{}
	for _, i := range restored {
		if seen[i.Date] {
			continue
		}
		seen[i.Date] = true
		batches, err := book.Search(ctx, ledger.Wanted{Date: i.Date})
		if err != nil {
			return err
		}
		var missing records.Numbers
		next := 1
		for _, batch := range batches {
			missing = append(missing, records.Range(next, batch.Code.Batch()-1)...)
			next = batch.Code.Batch() + 1
		}
		if len(missing) > 0 {
			command.Hint(c.out.stderr, fmt.Sprintf("of %s the batches %v are not in the ledger: look for their cards", i.Date.Format(time.DateOnly), missing))
		}
	}
	last, err := book.Until(ctx)
	if err != nil {
		return err
	}
	command.Hint(c.out.stderr, fmt.Sprintf("new batches can have graft dates after %s; before, the lost ledger may have given codes of which no card is left", last.Format(time.DateOnly)))
	return nil
}
