package main

import (
	"context"
	"fmt"
	"io"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/records"
	"graftslip/records/ledger"
)

// press makes the files of one run that prints labels and cards.
type press struct {
	pressFlags
	manifest           string   // file that faults name with the row; empty when there is none
	name               string   // what the files' names begin with
	used               []string // the manifest and the ledger, which no file replaces
	issued             bool     // the ledger has given the codes
	keepOthers         bool     // replace a file only if this print has all its batches
	tried              []design // of each row of the manifest
	stemPile, trayPile pile
	proofs             []string                   // what reading the files back found, a line each
	smallestModule     float64                    // mm, if small for readers; else 0
	omitted            map[string]records.Numbers // the rows whose labels lack what StemLabels.Omits lists
	stderr             io.Writer
}

// pile is all that is printed on one kind of label stock: stem labels or tray cards.
type pile struct {
	options labels.Options
	what    string // stem labels
	suffix  string // of the files' names
	title   string // of a file, with a place for its name
	asked   *placeFlags
	places
	count int // of labels or cards
	parts []part
}

// left are the places that stay free on the last sheet; none when none was used.
func (p pile) left() records.Numbers {
	if p.count == 0 {
		return nil
	}
	return p.Left(p.count)
}

// paths are those of the files.
func (p pile) paths() []string {
	var paths []string
	for _, part := range p.parts {
		paths = append(paths, part.path)
	}
	return paths
}

// piece is what is printed of one batch.
type piece struct {
	batch  records.Batch
	label  records.Batch // the batch with the stem and the wrap for which its labels are laid out
	stems  records.Numbers
	spares int
	trays  records.Numbers
}

func newPress(f pressFlags, name string, stderr io.Writer) (*press, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	p := &press{pressFlags: f, name: name, stderr: stderr}
	path, err := command.LedgerPath(f.ledger)
	if err != nil {
		return nil, err
	}
	p.used = append(p.used, path)
	if p.Calendar, err = command.LoadCalendar(); err != nil {
		return nil, err
	}
	stems, trays, err := p.Options()
	p.stemPile = pile{options: stems, what: "stem labels", suffix: "-stems", title: labels.StemTitle, asked: &p.stemPlaces}
	p.trayPile = pile{options: trays, what: "tray cards", suffix: "-trays", title: labels.TrayTitle, asked: &p.trayPlaces}
	return p, err
}

// undone reports what became of codes and files when nothing was printed.
func (p *press) undone() string {
	switch {
	case p.manifest == "":
		return "no file was written"
	case p.issued:
		return "no file was written; the ledger has the codes, so the next print gives the same labels"
	}
	return "no code was issued and no file was written"
}

// cannotWrite adds what to do when files cannot be written.
func (p *press) cannotWrite(err error) error {
	return command.Advise(err, "free some disk space or name another folder with --out; "+p.undone())
}

// advised adds what a person should know when the job was stopped.
func (p *press) advised(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return &command.HintedError{Err: err, Advice: p.undone()}
	}
	return err
}

// piles are both, for what is done with each.
func (p *press) piles() []*pile { return []*pile{&p.stemPile, &p.trayPile} }

// choosePlaces finds the positions that are printed on.
func (p *press) choosePlaces(ctx context.Context, book *ledger.Ledger) error {
	return book.Change(ctx, func(c *ledger.Change) (err error) {
		for _, pile := range p.piles() {
			asked := pile.asked
			if pile.places, err = asked.places(ctx, c, pile.options.Stock); err != nil {
				return err
			}
			if asked.sheet != "" && !pile.known && asked.start == 0 {
				command.Hint(p.stderr, fmt.Sprintf("sheet %q is new, so printing began at position 1; if it is part-used, name its first free position with --start%s", asked.sheet, asked.suffix))
			}
		}
		return nil
	})
}

// named is what a fault of a batch begins with: its code where it comes from no
// row of a manifest.
func (p *press) named(batch records.Batch) string {
	if batch.Row == 0 {
		return batch.Code.String()
	}
	return p.manifest
}

// noteOmitted records what does not fit on the labels of a row.
func (p *press) noteOmitted(omits string, row int) {
	if omits == "" {
		return
	}
	if p.omitted == nil {
		p.omitted = map[string]records.Numbers{}
	}
	p.omitted[omits] = append(p.omitted[omits], row)
}

func (p *press) noteModule(module float64, small bool) {
	if small && (p.smallestModule == 0 || module < p.smallestModule) {
		p.smallestModule = module
	}
}
