package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels/proof"
	"graftslip/records"
	"graftslip/records/ledger"
)

// handOver proves the files, if that is asked for, writes into the ledger what
// they use of sheets that are remembered, gives them their names, and writes down
// what was printed once more. Sheets come first: were the program ended between
// the two, some places would stay empty, and none would be printed on twice.
// After an error no sheet counts as used.
func (p *press) handOver(ctx context.Context, book *ledger.Ledger, staged *command.Staged, pieces []piece, reprints []records.Reprint) error {
	if p.proof {
		if err := p.prove(ctx, staged, pieces); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	ctx = context.WithoutCancel(ctx) // what belongs together is done as a whole
	err := book.Change(ctx, func(c *ledger.Change) error {
		for _, pile := range p.piles() {
			if err := pile.asked.remember(ctx, c, pile.places, pile.count); err != nil {
				return err
			}
		}
		return stillSo(ctx, c, pieces)
	})
	if err != nil {
		return err
	}
	kept, err := staged.Keep()
	if err != nil {
		for _, path := range kept { // some of the labels would be taken for all of them
			err = errors.Join(err, os.Remove(path))
		}
		return errors.Join(err, p.putSheetsBack(ctx, book))
	}
	if len(reprints) == 0 {
		return nil
	}
	err = book.Change(ctx, func(c *ledger.Change) error { return c.Reprinted(ctx, reprints) })
	if err != nil {
		command.Hint(p.stderr, fmt.Sprintf("the files are good, but the ledger could not record the reprint: %v", err))
	}
	return nil
}

// putSheetsBack makes sheets what they were before they were to be used.
func (p *press) putSheetsBack(ctx context.Context, book *ledger.Ledger) error {
	return book.Change(ctx, func(c *ledger.Change) error {
		for _, pile := range p.piles() {
			if err := pile.asked.putBack(ctx, c, pile.places, pile.count); err != nil {
				return err
			}
		}
		return nil
	})
}

// stillSo reports a batch that another program has changed since it was read.
func stillSo(ctx context.Context, c *ledger.Change, pieces []piece) error {
	for _, piece := range pieces {
		batch, err := c.Batch(ctx, piece.batch.Code)
		if err != nil {
			return err
		}
		if batch.Grafts != piece.batch.Grafts || batch.LastAmendment() != piece.batch.LastAmendment() {
			return &command.HintedError{Err: fmt.Errorf("%s was extended or amended in the meantime", batch.Code.BatchName()), Advice: "print again"}
		}
	}
	return nil
}

// prove reads every file back.
func (p *press) prove(ctx context.Context, staged *command.Staged, pieces []piece) error {
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	batches := map[codes.Code]records.Batch{}
	for _, piece := range pieces {
		batches[piece.batch.Code] = piece.batch
	}
	check := proof.Check{Spread: proof.InkSpread, Calendar: p.Calendar, Find: func(code codes.Code) (records.Record, bool, error) {
		record := records.Record{Batch: batches[code.Whole()], Code: code}
		return record, record.Exists(), nil
	}}
	for _, part := range append(p.stemPile.parts, p.trayPile.parts...) {
		file, err := staged.Read(part.name)
		if err != nil {
			return err
		}
		report, err := prove(ctx, check, renderer, file, p.stderr)
		if err != nil {
			return fmt.Errorf("proof of %s: %w", part.name, err)
		}
		faults := faultsOf(part.name, report)
		if slips := part.to - part.from; len(faults) == 0 && report.Read != slips {
			faults = append(faults, fmt.Errorf("%s: only %d of %d labels or cards were read back", part.name, report.Read, slips))
		}
		if len(faults) > 0 {
			return errors.Join(faults...)
		}
		p.proofs = append(p.proofs, "proof of "+proofSaid(part.name, report))
	}
	return nil
}
