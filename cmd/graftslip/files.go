package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"time"

	"golang.org/x/sync/errgroup"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/labels/pdf"
)

const (
	// mostSheets is how many sheets a file has at the most: as much as a print
	// queue bears. A file is in memory as a whole until it is written.
	mostSheets = 500

	// filesAtOnce bounds the memory that many processors would take.
	filesAtOnce = 4

	// memory is how many bytes the program takes before it looks for some to use
	// again, rather than when it has twice of what it needs.
	memory = 240 << 20
)

// part is one file of a pile.
type part struct {
	name     string // of the file
	path     string
	title    string
	from, to int   // labels or cards of the pile, counted from 0
	free     []int // places of the first sheet; none for a whole one
}

// partsOf divides a pile into files.
func (p *press) partsOf(pile *pile) []part {
	var parts []part
	first := len(pile.Free) + (mostSheets-1)*pile.options.Stock.Count()
	for from := 0; from < pile.count; {
		next := part{from: from, to: min(pile.count, from+mostSheets*pile.options.Stock.Count())}
		if from == 0 {
			next.to, next.free = min(pile.count, first), pile.Free
		}
		parts = append(parts, next)
		from = next.to
	}
	digits := len(strconv.Itoa(len(parts)))
	for i := range parts {
		next, number, of := &parts[i], "", ""
		if len(parts) > 1 {
			number = fmt.Sprintf("-%0*d", digits, i+1)
			of = fmt.Sprintf(" %d/%d", i+1, len(parts))
		}
		next.name = p.name + pile.suffix + number + ".pdf"
		next.path = filepath.Join(p.folder, next.name)
		next.title = fmt.Sprintf(pile.title, p.name+of)
	}
	return parts
}

// write writes the files of the pieces under temporary names, several at once. A
// kind of slip of which there is none has no file.
func (p *press) write(ctx context.Context, staged *command.Staged, pieces []piece) error {
	if debug.SetMemoryLimit(-1) == math.MaxInt64 { // nobody has set another
		debug.SetMemoryLimit(memory)
		defer debug.SetMemoryLimit(math.MaxInt64)
	}
	stems, trays, err := p.designs(ctx, pieces)
	if err != nil {
		return err
	}
	step, end := command.Progress(p.stderr, p.stemPile.count+p.trayPile.count, "labels")
	defer end()
	contents := []content{stemLabels(stems, pieces), trayCards(trays, pieces)}
	for _, pile := range p.piles() {
		pile.parts = p.partsOf(pile)
	}
	if p.keepOthers {
		if err := p.checkReplaced(pieces); err != nil {
			return err
		}
	}
	date := latest(pieces)
	files, failed := errgroup.WithContext(ctx) // one that fails ends the others
	files.SetLimit(min(runtime.GOMAXPROCS(0), filesAtOnce))
	for i, pile := range p.piles() {
		for _, part := range pile.parts {
			document := p.document(pile, part, date)
			document.Batches = batchesBetween(contents[i], pieces, part)
			files.Go(func() error {
				return staged.Write(part.name, func(w io.Writer) error {
					_, err := pdf.Write(w, document, watched(ctx, failed, contents[i].between(part.from, part.to), step))
					return err
				})
			})
		}
	}
	return p.writeFailed(ctx, files.Wait())
}

// document is what a file of a pile is.
func (p *press) document(pile *pile, part part, date time.Time) pdf.Document {
	document := pdf.Document{
		Title: part.title, Author: "graftslip", Language: labels.Language, Date: date, Face: pile.options.Face,
		Setup: p.Setup(pile.options), Free: part.free,
	}
	document.Outlines = p.outlines
	return document
}

// writeFailed adds advice to an error from writing files; nil stays nil.
func (p *press) writeFailed(ctx context.Context, err error) error {
	var off *pdf.OffPaperError
	switch {
	case err == nil || ctx.Err() != nil:
		return err
	case errors.As(err, &off):
		return command.Advise(off, p.undone())
	}
	return p.cannotWrite(err)
}

// batchesBetween returns the batches whose labels or cards a file of a pile holds.
func batchesBetween(contents content, pieces []piece, part part) []codes.Code {
	var batches []codes.Code
	at := 0
	for i, run := range contents {
		if at < part.to && at+run.count > part.from && run.count > 0 {
			batches = append(batches, pieces[i].batch.Code)
		}
		at += run.count
	}
	return batches
}

// content is all labels or all cards, in the order of work: batch by batch, stems
// or trays rising, the batch's spare labels behind them.
type content []run

// run is the labels or cards of one batch.
type run struct {
	count int
	slip  func(n int) (labels.Design, error) // counted from 0
}

// between yields some of the labels or cards, counted from 0.
func (c content) between(from, to int) iter.Seq2[labels.Design, error] {
	return func(yield func(labels.Design, error) bool) {
		at := 0
		for _, run := range c {
			for n := max(0, from-at); n < min(run.count, to-at); n++ {
				if !yield(run.slip(n)) {
					return
				}
			}
			at += run.count
		}
	}
}

func stemLabels(designs []*labels.StemLabels, pieces []piece) content {
	var all content
	for i, piece := range pieces {
		all = append(all, run{len(piece.stems) + piece.spares, func(n int) (labels.Design, error) {
			if n < len(piece.stems) {
				return designs[i].Label(piece.stems[n])
			}
			return designs[i].Spare()
		}})
	}
	return all
}

func trayCards(designs []*labels.TrayCards, pieces []piece) content {
	var all content
	for i, piece := range pieces {
		all = append(all, run{len(piece.trays), func(n int) (labels.Design, error) { return designs[i].Card(piece.trays[n]) }})
	}
	return all
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

// watched counts slips as they pass and ends when the job is stopped or another
// file has failed.
func watched(ctx, failed context.Context, slips iter.Seq2[labels.Design, error], step func()) iter.Seq2[labels.Design, error] {
	return func(yield func(labels.Design, error) bool) {
		for slip, err := range slips {
			if err == nil {
				err = cmp.Or(ctx.Err(), failed.Err())
			}
			if !yield(slip, err) {
				return
			}
			step()
		}
	}
}
