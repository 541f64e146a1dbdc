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
	var days closedDays
	c := &cobra.Command{
		Use:   "import --until DATE FILE|-...",
		Short: "Rebuild a ledger from tray cards that carry their records",
		Long: `Rebuild a ledger from tray cards that carry their records, printed with --card-symbol record.

FILE is a picture or PDF of cards. One card restores its whole batch. With - a scanner sends the
records, one per line. A batch already in the ledger stays as it is. If a card contradicts the
ledger, nothing is imported.

--until is the last graft date for which the lost ledger printed labels. Codes without a card are
unknown, so new batches need a later graft date. If in doubt, give a later day. After a backup
took the place of the ledger, --close DATE does the same without cards.

If a wrong --until closed too many days, --open DATE opens them again from that day on. --closed
lists what was closed and opened.`,
		Example: "  slipread import --until 2026-11-26 cards/*.jpg\n  slipread import --open 2026-11-27 --reason \"the year was mistyped\" --by MK",
		Args: func(c *cobra.Command, args []string) error {
			if days.asked() {
				return command.NoArguments(c, args)
			}
			return atLeastOne("give a picture or PDF of cards, or - for a scanner")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if days.asked() {
				return v.closedDays(c, days)
			}
			if until.IsZero() {
				return &command.UsageError{Err: &command.HintedError{
					Err:    errors.New("--until is missing: the last graft date for which the lost ledger printed labels"),
					Advice: "no new batch gets a graft date up to that day, so that no code is used twice; when in doubt, give a later date"}}
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
	c.Flags().Var(command.Date(&until), "until", "last graft date for which the lost ledger printed labels")
	days.register(c.Flags())
	command.LedgerFlag(c.Flags(), &v.ledgerFlag)
	c.Flags().BoolVar(&v.asJSON, "json", false, "write JSON: one object for each batch")
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

// take adds the record of a text. A card may have been printed before its batch was
// extended, so the card with the most grafts counts.
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
			Err:    fmt.Errorf("%v: this label or card carries only a code, no record", code),
			Advice: "only cards printed with --card-symbol record can be imported"})
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
		return caption{}, &command.HintedError{Err: fmt.Errorf("%v: two cards of this batch contradict each other: %s is %q on one, %q on the other", batch.Code, d.Field, d.A, d.B),
			Advice: "nothing was imported; if the batch was amended, leave out its older cards; else import the cards of each ledger into a ledger of their own"}
	}
	if record.Batch.Grafts > batch.Grafts {
		batch.Batch = record.Batch
	}
	return captionOf(batch.Batch), nil
}

// restore puts the batches into the ledger at path.
func (c *cards) restore(ctx context.Context, path string, until time.Time, now func() time.Time) error {
	if len(c.batches) == 0 {
		return &command.HintedError{Err: errors.New("no card with a record was read"), Advice: "nothing was imported; only cards printed with --card-symbol record can be imported"}
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
		return command.Advise(err, "nothing was imported")
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

// gaps reports which batch numbers of a day are missing before others: no card of them was
// read.
func (c *cards) gaps(ctx context.Context, book *ledger.Ledger, restored []records.Issued) error {
	seen := map[time.Time]bool{}
	for _, i := range restored {
		day := i.Code.Date()
		if seen[day] {
			continue
		}
		seen[day] = true
		given, err := book.Numbers(ctx, day)
		if err != nil {
			return err
		}
		var missing records.Numbers
		for n := 1; n < given[len(given)-1]; n++ {
			if !given.Contains(n) {
				missing = append(missing, n)
			}
		}
		if len(missing) > 0 {
			command.Hint(c.out.stderr, fmt.Sprintf("of %s, batches %v are not in the ledger: look for their cards", day.Format(time.DateOnly), missing))
		}
	}
	last, err := book.Until(ctx)
	if err != nil {
		return err
	}
	command.Hint(c.out.stderr, fmt.Sprintf("new batches need a graft date after %s: up to that day, the lost ledger may have used codes that no card shows", last.Format(time.DateOnly)))
	return nil
}
