package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"iter"
	"path/filepath"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/labels/proof"
	"graftslip/records"
	"graftslip/records/ledger"
)

// press makes the files of one run that prints slips.
type press struct {
	slipFlags
	manifest           string // file whose rows faults are told of; empty when there is none
	name               string // what the files' names begin with
	stemOptions        labels.Options
	trayOptions        labels.Options
	stemPile, trayPile pile
	proofs             []string // what was found when files were read back, a line each
	smallestModule     float64  // mm, when below what readers like; else 0
	stderr             io.Writer
}

// pile is what came of one kind of slip.
type pile struct {
	slips, sheets int
	left          records.Numbers // places free on the last sheet
	path          string
}

// piece is what is printed of one batch.
type piece struct {
	batch  records.Batch
	stems  records.Numbers
	spares int
	trays  records.Numbers
}

func newPress(f slipFlags, name string, stderr io.Writer) (*press, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	p := &press{slipFlags: f, name: name, stderr: stderr}
	var err error
	p.stemOptions, p.trayOptions, err = f.options()
	return p, err
}

// write writes the files of the pieces under temporary names, and what it uses
// of remembered sheets into the ledger. A kind of slip of which there is none
// has no file.
func (p *press) write(ctx context.Context, c *ledger.Change, staged *command.Staged, pieces []piece) error {
	stems, trays, err := p.designs(ctx, pieces)
	if err != nil {
		return err
	}
	step, end := command.Progress(p.stderr, p.stemPile.slips+p.trayPile.slips, "labels")
	defer end()
	date := latest(pieces)
	for _, kind := range []struct {
		pile    *pile
		options labels.Options
		places  *placeFlags
		name    string
		title   string
		slips   iter.Seq2[labels.Slip, error]
	}{
		{&p.stemPile, p.stemOptions, &p.stemPlaces, p.name + "-stems.pdf", p.stemOptions.Words.StemTitle, stemLabels(stems, pieces)},
		{&p.trayPile, p.trayOptions, &p.trayPlaces, p.name + "-trays.pdf", p.trayOptions.Words.TrayTitle, trayCards(trays, pieces)},
	} {
		if kind.pile.slips == 0 {
			continue
		}
		filling, err := kind.places.filling(ctx, c, kind.options.Stock)
		if err != nil {
			return err
		}
		document := pdf.Document{
			Title: fmt.Sprintf(kind.title, p.name), Author: "graftslip", Language: kind.options.Words.Language, Date: date, Face: kind.options.Face,
			Setup: labels.Setup{Stock: kind.options.Stock, DPI: kind.options.DPI, Outlines: p.outlines, Correction: command.Correction(p.shift, p.scale)},
			Free:  filling.Free,
		}
		draw := func(w io.Writer) (err error) {
			kind.pile.sheets, err = pdf.Write(w, document, watched(ctx, kind.slips, step))
			return err
		}
		if p.proof {
			if draw, err = p.proved(ctx, kind.name, draw, pieces); err != nil {
				return err
			}
		}
		if err := staged.Write(kind.name, draw); err != nil {
			return err
		}
		kind.pile.path = filepath.Join(p.folder, kind.name)
		kind.pile.left = filling.Left(kind.pile.slips)
		if err := kind.places.remember(ctx, c, filling, kind.pile.slips); err != nil {
			return err
		}
	}
	return nil
}

// proved draws a file and reads it back. It returns what writes the file, or
// everything that is wrong with it.
func (p *press) proved(ctx context.Context, name string, draw func(io.Writer) error, pieces []piece) (func(io.Writer) error, error) {
	var file bytes.Buffer
	if err := draw(&file); err != nil {
		return nil, err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return nil, err
	}
	defer renderer.Close()
	batches := map[codes.Code]records.Batch{}
	for _, piece := range pieces {
		batches[piece.batch.Code] = piece.batch
	}
	check := proof.Check{Spread: proof.InkSpread, Find: func(code codes.Code) (records.Record, bool, error) {
		batch, known := batches[code.Whole()]
		return records.Record{Batch: batch, Code: code}, known, nil
	}}
	report, err := prove(ctx, check, renderer, file.Bytes(), p.stderr)
	if err != nil {
		return nil, fmt.Errorf("proof of %s: %w", name, err)
	}
	if faults := faultsOf(name, report); len(faults) > 0 {
		return nil, &faultyError{faults, []string{p.undone()}}
	}
	p.proofs = append(p.proofs, "proof of "+proofSaid(name, report))
	return func(w io.Writer) error { _, err := file.WriteTo(w); return err }, nil
}

// designs lays out every batch as the ledger now has it, for what is printed of
// it.
func (p *press) designs(ctx context.Context, pieces []piece) ([]*labels.StemDesign, []*labels.TrayDesign, error) {
	stems, trays := make([]*labels.StemDesign, len(pieces)), make([]*labels.TrayDesign, len(pieces))
	var t trial
	for i, piece := range pieces {
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		var stemErr, trayErr error
		if len(piece.stems)+piece.spares > 0 {
			if stems[i], stemErr = labels.DesignStem(piece.batch, p.stemOptions); stemErr == nil {
				p.noteModule(stems[i].Small())
			}
		}
		if len(piece.trays) > 0 {
			if trays[i], trayErr = labels.DesignTray(piece.batch, p.trayOptions); trayErr == nil {
				p.noteModule(trays[i].Small())
			}
		}
		t.add(p.named(piece.batch), piece.batch, stemErr, trayErr)
		p.stemPile.slips += len(piece.stems) + piece.spares
		p.trayPile.slips += len(piece.trays)
	}
	return stems, trays, t.err(nil, p)
}

// named is what a fault of a batch begins with: its code where it comes from no
// row of a manifest.
func (p *press) named(batch records.Batch) string {
	if batch.Row == 0 {
		return batch.Code.String()
	}
	return p.manifest
}

func (p *press) noteModule(module float64, small bool) {
	if small && (p.smallestModule == 0 || module < p.smallestModule) {
		p.smallestModule = module
	}
}

// stemLabels yields the labels in the order of work: batch by batch, stems
// rising, the batch's spare labels behind them.
func stemLabels(designs []*labels.StemDesign, pieces []piece) iter.Seq2[labels.Slip, error] {
	return func(yield func(labels.Slip, error) bool) {
		for i, piece := range pieces {
			for _, stem := range piece.stems {
				if !yield(designs[i].Slip(stem)) {
					return
				}
			}
			for range piece.spares {
				if !yield(designs[i].Spare()) {
					return
				}
			}
		}
	}
}

func trayCards(designs []*labels.TrayDesign, pieces []piece) iter.Seq2[labels.Slip, error] {
	return func(yield func(labels.Slip, error) bool) {
		for i, piece := range pieces {
			for _, tray := range piece.trays {
				if !yield(designs[i].Slip(tray)) {
					return
				}
			}
		}
	}
}

// latest is the last graft date of the batches. It stands as the date of the
// files, so that the same batches give the same bytes on any day.
func latest(pieces []piece) (last time.Time) {
	for _, piece := range pieces {
		if piece.batch.Date.After(last) {
			last = piece.batch.Date
		}
	}
	return last
}

// watched counts slips as they pass and ends when the job is stopped.
func watched(ctx context.Context, slips iter.Seq2[labels.Slip, error], step func()) iter.Seq2[labels.Slip, error] {
	return func(yield func(labels.Slip, error) bool) {
		for slip, err := range slips {
			if err == nil && ctx.Err() != nil {
				err = fmt.Errorf("printing: %w", ctx.Err())
			}
			if !yield(slip, err) {
				return
			}
			step()
		}
	}
}
