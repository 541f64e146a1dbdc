package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/proof"
	"graftslip/records"
	"graftslip/records/ledger"
)

// handOver proves the files, if that is asked for, gives them their names, and
// writes into the ledger what was used of sheets that are remembered, and what
// was printed once more. After an error no sheet counts as used, and nothing as
// printed.
func (p *press) handOver(ctx context.Context, book *ledger.Ledger, staged *command.Staged, pieces []piece, reprints []records.Reprint) error {
	if p.proof {
		if err := p.prove(ctx, staged, pieces); err != nil {
			return err
		}
	}
	return book.Change(ctx, func(c *ledger.Change) error {
		for _, kind := range p.kinds() {
			if err := kind.places.remember(ctx, c, kind.pile.places, kind.pile.slips); err != nil {
				return err
			}
		}
		if err := stillSo(ctx, c, pieces); err != nil {
			return err
		}
		if err := c.Reprinted(ctx, reprints); err != nil {
			return err
		}
		kept, err := staged.Keep()
		if err != nil && len(kept) > 0 {
			err = &command.HintedError{Err: err, Advice: "do not use what was written already: " + strings.Join(kept, ", ")}
		}
		return err
	})
}

// stillSo reports a batch that another program has changed since it was read.
func stillSo(ctx context.Context, c *ledger.Change, pieces []piece) error {
	for _, piece := range pieces {
		grafts, err := c.Grafts(ctx, piece.batch.Code)
		if err != nil {
			return err
		}
		if grafts != piece.batch.Grafts {
			return &command.HintedError{Err: fmt.Errorf("%s has been extended by another print meanwhile", piece.batch.Code.BatchName()), Advice: "print again"}
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
	check := proof.Check{Spread: proof.InkSpread, Words: labels.English(), Find: func(code codes.Code) (records.Record, bool, error) {
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
			faults = append(faults, fmt.Errorf("%s: %d of %d slips were read back", part.name, report.Read, slips))
		}
		if len(faults) > 0 {
			return errors.Join(faults...)
		}
		p.proofs = append(p.proofs, "proof of "+proofSaid(part.name, report))
	}
	return nil
}
