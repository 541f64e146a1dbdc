package main

import (
	"context"
	"runtime"

	"golang.org/x/sync/errgroup"

	"graftslip/codes"
	"graftslip/labels"
	"graftslip/records"
)

// design is what was laid out for one draft or piece, with what went wrong.
type design struct {
	batch            records.Batch
	stem             *labels.StemLabels
	tray             *labels.TrayCards
	stemErr, trayErr error
}

// tryDesigns finds what does not fit on a label or card before any code is
// issued. The only error is the context's.
func (p *press) tryDesigns(ctx context.Context, drafts []records.Draft) (trial, error) {
	p.tried = make([]design, len(drafts))
	err := each(ctx, len(drafts), func(i int) {
		d := &p.tried[i]
		d.batch.Draft = drafts[i]
		if d.batch.Code, d.stemErr = codes.New(drafts[i].Date, codes.MaxBatch); d.stemErr == nil { // never printed
			d.stem, d.stemErr = labels.DesignStem(d.batch, p.stemPile.options)
			d.tray, d.trayErr = labels.DesignTray(d.batch, p.trayPile.options)
		}
	})
	var t trial
	for _, d := range p.tried {
		t.add(p.named(d.batch), d.batch, d.stemErr, d.trayErr)
	}
	return t, err
}

// designs lays out every batch as the ledger now has it, for what is printed of
// it. What was tried with the same row serves again.
func (p *press) designs(ctx context.Context, pieces []piece) ([]*labels.StemLabels, []*labels.TrayCards, error) {
	all := make([]design, len(pieces))
	err := each(ctx, len(pieces), func(i int) {
		d, piece := &all[i], pieces[i]
		if i < len(p.tried) && p.tried[i].batch.Draft == piece.batch.Draft && piece.label.Draft == piece.batch.Draft {
			d.stem, d.tray = p.tried[i].stem.For(piece.batch.Code), p.tried[i].tray.For(piece.batch.Code)
			return
		}
		if len(piece.stems)+piece.spares > 0 {
			d.stem, d.stemErr = labels.DesignStem(piece.label, p.stemPile.options)
		}
		if len(piece.trays) > 0 {
			d.tray, d.trayErr = labels.DesignTray(piece.batch, p.trayPile.options)
		}
	})
	p.tried = nil // they are many
	if err != nil {
		return nil, nil, err
	}
	stems, trays := make([]*labels.StemLabels, len(pieces)), make([]*labels.TrayCards, len(pieces))
	var t trial
	for i, piece := range pieces {
		d := all[i]
		stems[i], trays[i] = d.stem, d.tray
		if d.stem != nil {
			p.noteModule(d.stem.Small())
			p.noteOmitted(d.stem.Omits(), piece.batch.Row)
		}
		if d.tray != nil {
			p.noteModule(d.tray.Small())
		}
		t.add(p.named(piece.batch), piece.batch, d.stemErr, d.trayErr)
		p.stemPile.count += len(piece.stems) + piece.spares
		p.trayPile.count += len(piece.trays)
	}
	return stems, trays, t.err(nil, p)
}

// each does some work for each number below n, on all processors. The error is
// the context's.
func each(ctx context.Context, n int, work func(i int)) error {
	const atOnce = 16 // numbers that a processor takes
	var workers errgroup.Group
	workers.SetLimit(runtime.GOMAXPROCS(0))
	for from := 0; from < n; from += atOnce {
		workers.Go(func() error {
			for i := from; i < min(n, from+atOnce); i++ {
				if ctx.Err() != nil {
					return ctx.Err()
				}
				work(i)
			}
			return nil
		})
	}
	return workers.Wait()
}
