package main

import (
	"context"
	"fmt"
	"io"
	"iter"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/records"
	"graftslip/records/ledger"
)

// issue gives the drafts their codes and writes the files, or does neither.
// The files are whole on the disk, under temporary names, before the ledger
// commits; after that they only take their names, and if even that fails,
// printing again gives the same labels.
func (s *session) issue(ctx context.Context, ledgerPath string, drafts []records.Draft) ([]records.Issued, []string, error) {
	staged, err := command.Stage(s.folder)
	if err != nil {
		return nil, nil, err
	}
	defer staged.Discard()
	book, err := ledger.Open(ctx, ledgerPath)
	if err != nil {
		return nil, nil, err
	}
	defer book.Close()
	s.ledger = book.Path()
	issued, err := book.Issue(ctx, drafts, func(issued []records.Issued) error {
		return s.write(ctx, staged, drafts, issued)
	})
	if err != nil {
		return nil, nil, err
	}
	paths, err := staged.Keep()
	if err != nil {
		err = &command.HintedError{Err: err, Advice: "the codes are issued: mend this, print again, and the labels will be the same"}
	}
	return issued, paths, err
}

func (s *session) write(ctx context.Context, staged *command.Staged, drafts []records.Draft, issued []records.Issued) error {
	stems, trays, err := s.designs(ctx, drafts, issued)
	if err != nil {
		return err
	}
	step, end := command.Progress(s.stderr, s.stemSlips+s.trayCards, "labels")
	defer end()
	write := func(name, title string, options labels.Options, slips iter.Seq2[labels.Slip, error], pages *int) error {
		document := pdf.Document{
			Title: title, Author: "graftslip", Language: options.Words.Language, Date: latest(issued),
			Stock: options.Stock, Face: options.Face, Dot: symbol.Dot(options.DPI), Outlines: s.outlines,
		}
		return staged.Write(name, func(w io.Writer) (err error) {
			*pages, err = pdf.Write(w, document, watched(ctx, slips, step))
			return err
		})
	}
	if err := write(s.name+"-stems.pdf", fmt.Sprintf(s.stemOptions.Words.StemTitle, s.name), s.stemOptions, s.stemLabels(stems, issued), &s.stemSheets); err != nil {
		return err
	}
	return write(s.name+"-trays.pdf", fmt.Sprintf(s.trayOptions.Words.TrayTitle, s.name), s.trayOptions, trayCards(trays, issued), &s.traySheets)
}

// designs lays out every batch as the ledger now has it, round the stem and in
// the wrap of this manifest: an earlier one's do not hold for these labels.
func (s *session) designs(ctx context.Context, drafts []records.Draft, issued []records.Issued) ([]*labels.StemDesign, []*labels.TrayDesign, error) {
	var stems []*labels.StemDesign
	var trays []*labels.TrayDesign
	t := trial{file: s.manifest}
	for n, i := range issued {
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		batch := i.Batch
		batch.Row, batch.Stem, batch.Wrap = i.Row, drafts[n].Stem, drafts[n].Wrap
		stem, stemErr := labels.DesignStem(batch, s.stemOptions)
		tray, trayErr := labels.DesignTray(batch, s.trayOptions)
		if stemErr != nil || trayErr != nil {
			t.add(batch, stemErr, trayErr)
			continue
		}
		s.noteModule(stem.Small())
		s.noteModule(tray.Small())
		stems, trays = append(stems, stem), append(trays, tray)
		s.stemSlips += batch.Grafts + s.spare.Of(batch.Grafts)
		s.trayCards += batch.Trays()
	}
	return stems, trays, t.err(nil, s)
}

func (s *session) noteModule(module float64, small bool) {
	if small && (s.smallestModule == 0 || module < s.smallestModule) {
		s.smallestModule = module
	}
}

// stemLabels yields the labels in the order of work: batch by batch, stems
// rising, the batch's spare labels behind them.
func (s *session) stemLabels(designs []*labels.StemDesign, issued []records.Issued) iter.Seq2[labels.Slip, error] {
	return func(yield func(labels.Slip, error) bool) {
		for i, design := range designs {
			grafts := issued[i].Grafts
			for stem := range grafts {
				if !yield(design.Slip(stem + 1)) {
					return
				}
			}
			for range s.spare.Of(grafts) {
				if !yield(design.Spare()) {
					return
				}
			}
		}
	}
}

func trayCards(designs []*labels.TrayDesign, issued []records.Issued) iter.Seq2[labels.Slip, error] {
	return func(yield func(labels.Slip, error) bool) {
		for i, design := range designs {
			for tray := range issued[i].Trays() {
				if !yield(design.Slip(tray + 1)) {
					return
				}
			}
		}
	}
}

// latest is the last graft date of the batches. It stands as the date of the
// files, so that the same batches give the same bytes on any day.
func latest(issued []records.Issued) (last time.Time) {
	for _, i := range issued {
		if i.Date.After(last) {
			last = i.Date
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
