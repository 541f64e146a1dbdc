package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"path/filepath"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/labels/proof"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// press makes the files of one run that prints slips.
type press struct {
	slipFlags
	manifest    string // file whose rows faults are told of; empty when there is none
	name        string // what the files' names begin with
	stemOptions labels.Options
	trayOptions labels.Options

	issued             bool // the ledger has given the codes
	stemPile, trayPile pile
	proofs             []string // what was found when files were read back, a line each
	smallestModule     float64  // mm, when below what readers like; else 0
	stderr             io.Writer
}

// pile is what comes of one kind of slip.
type pile struct {
	places
	slips, sheets int
	path          string
}

// left are the places that stay free on the last sheet; none when none was used.
func (p pile) left() records.Numbers {
	if p.slips == 0 {
		return nil
	}
	return p.Left(p.slips)
}

// piece is what is printed of one batch.
type piece struct {
	batch  records.Batch
	stem   float64      // diameter for which labels are laid out, mm; 0 for that of the flags
	wrap   layouts.Wrap // likewise
	stems  records.Numbers
	spares int
	trays  records.Numbers
}

// forStems is the batch as its stem labels are laid out.
func (p piece) forStems() records.Batch {
	batch := p.batch
	batch.Stem, batch.Wrap = p.stem, p.wrap
	return batch
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

// undone is what a person should know when nothing was printed.
func (p *press) undone() string {
	switch {
	case p.manifest == "":
		return "no file was written"
	case p.issued:
		return "the codes are issued and no file was written, the next print gives the same labels"
	}
	return "nothing was issued and no file was written"
}

// cannotWrite adds what to do when files cannot be written.
func (p *press) cannotWrite(err error) error {
	return command.Advise(err, "make room, or name another folder with --out; "+p.undone())
}

// advised adds what a person should know when the job was stopped.
func (p *press) advised(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return &command.HintedError{Err: err, Advice: p.undone()}
	}
	return err
}

// kind is one kind of slip, for what is done with both.
type kind struct {
	pile    *pile
	options labels.Options
	places  *placeFlags
	ending  string // of the file's name
	title   string // of the file, with a place for its name
}

func (p *press) kinds() []kind {
	return []kind{
		{&p.stemPile, p.stemOptions, &p.stemPlaces, "-stems.pdf", p.stemOptions.Words.StemTitle},
		{&p.trayPile, p.trayOptions, &p.trayPlaces, "-trays.pdf", p.trayOptions.Words.TrayTitle},
	}
}

// choosePlaces finds where the slips go.
func (p *press) choosePlaces(ctx context.Context, book *ledger.Ledger) error {
	return book.Change(ctx, func(c *ledger.Change) (err error) {
		for _, kind := range p.kinds() {
			if kind.pile.places, err = kind.places.places(ctx, c, kind.options.Stock); err != nil {
				return err
			}
			if kind.places.sheet != "" && !kind.pile.known && kind.places.start == 0 {
				command.Hint(p.stderr, fmt.Sprintf("the sheet %q is new, so it was taken for a whole one; --start%s says where it begins", kind.places.sheet, kind.places.suffix))
			}
		}
		return nil
	})
}

// write writes the files of the pieces under temporary names. A kind of slip of
// which there is none has no file.
func (p *press) write(ctx context.Context, staged *command.Staged, pieces []piece) error {
	stems, trays, err := p.designs(ctx, pieces)
	if err != nil {
		return err
	}
	step, end := command.Progress(p.stderr, p.stemPile.slips+p.trayPile.slips, "labels")
	defer end()
	slips := []iter.Seq2[labels.Slip, error]{stemLabels(stems, pieces), trayCards(trays, pieces)}
	date := latest(pieces)
	for i, kind := range p.kinds() {
		if kind.pile.slips == 0 {
			continue
		}
		document := pdf.Document{
			Title: fmt.Sprintf(kind.title, p.name), Author: "graftslip", Language: kind.options.Words.Language, Date: date, Face: kind.options.Face,
			Setup: labels.Setup{Stock: kind.options.Stock, DPI: kind.options.DPI, Outlines: p.outlines, Correction: command.Correction(p.shift, p.scale)},
			Free:  kind.pile.Free,
		}
		err := staged.Write(p.name+kind.ending, func(w io.Writer) (err error) {
			kind.pile.sheets, err = pdf.Write(w, document, watched(ctx, slips[i], step))
			return err
		})
		if err != nil {
			var off *pdf.OffPaperError
			switch {
			case errors.As(err, &off):
				err = command.Advise(off, p.undone())
			case ctx.Err() == nil:
				err = p.cannotWrite(err)
			}
			return err
		}
		kind.pile.path = filepath.Join(p.folder, p.name+kind.ending)
	}
	return nil
}

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
	for _, kind := range p.kinds() {
		if kind.pile.slips == 0 {
			continue
		}
		name := p.name + kind.ending
		file, err := staged.Read(name)
		if err != nil {
			return err
		}
		report, err := prove(ctx, check, renderer, file, p.stderr)
		if err != nil {
			return fmt.Errorf("proof of %s: %w", name, err)
		}
		faults := faultsOf(name, report)
		if len(faults) == 0 && report.Read != kind.pile.slips {
			faults = append(faults, fmt.Errorf("%s: %d of %d slips were read back", name, report.Read, kind.pile.slips))
		}
		if len(faults) > 0 {
			return errors.Join(faults...)
		}
		p.proofs = append(p.proofs, "proof of "+proofSaid(name, report))
	}
	return nil
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
			if stems[i], stemErr = labels.DesignStem(piece.forStems(), p.stemOptions); stemErr == nil {
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
