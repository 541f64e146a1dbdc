package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"graftslip/testdata/machine"
)

// entrant takes part in the comparison.
type entrant struct {
	row
	batches []batch
	stems   string // the PDF file that it writes
	run     func(context.Context) (cost, error)
}

// compare lets graftslip and its peers print in turn, so that what else the
// machine does falls on all of them, and writes the table.
func (w *workshop) compare(ctx context.Context, out io.Writer, n int, chosen []peer) error {
	batches, err := makeBatches(n)
	if err != nil {
		return err
	}
	own, err := w.graftslip(batches)
	if err != nil {
		return err
	}
	entrants := []*entrant{own}
	versions := []string{}
	notes := []string{}
	for _, p := range chosen {
		fmt.Fprintln(w.progress, "preparing", p.name)
		command, of, err := p.ready(ctx, w)
		if err != nil {
			reason, _, _ := strings.Cut(err.Error(), "\n")
			notes = append(notes, fmt.Sprintf("%s is left out: %s.", p.name, reason))
			continue
		}
		batches, err := makeBatches(max(n/p.part, 1))
		if err != nil {
			return err
		}
		e, err := w.enter(p, command, batches)
		if err != nil {
			return err
		}
		entrants, versions = append(entrants, e), append(versions, of)
	}
	for i := range w.repeat {
		for _, e := range entrants {
			fmt.Fprintf(w.progress, "run %d of %d: %s, %d labels\n", i+1, w.repeat, e.name, e.labels)
			c, err := e.run(ctx)
			if err != nil {
				return err
			}
			if i == 0 || c.wall < e.cost.wall {
				e.cost = c
			}
		}
	}
	var rows []row
	for _, e := range entrants {
		files, err := filesOf(e.stems)
		if err != nil {
			return err
		}
		if e.bytes, err = sizeOf(files); err != nil {
			return err
		}
		fmt.Fprintln(w.progress, "reading", e.name)
		if e.read, err = w.read(ctx, files, e.batches); err != nil {
			var missing *missingReaderError
			if !errors.As(err, &missing) {
				return fmt.Errorf("%s: %w", e.name, err)
			}
			notes = append(notes, fmt.Sprintf("What %s printed was not read back: %v.", e.name, err))
		}
		rows = append(rows, e.row)
	}
	for _, note := range notes {
		fmt.Fprintf(out, "%s\n\n", note)
	}
	fmt.Fprintf(out, "%s\n%s\n", table(rows), machine.Line(ctx, versions))
	return nil
}

// graftslip prints with a new ledger each time.
func (w *workshop) graftslip(batches []batch) (*entrant, error) {
	manifest, folder := w.path("session.csv"), w.path("printed")
	if err := writeFile(manifest, batches, writeManifest); err != nil {
		return nil, err
	}
	return &entrant{
		row: row{name: "graftslip", labels: stems(batches)}, batches: batches, stems: filepath.Join(folder, "session-stems.pdf"),
		run: func(ctx context.Context) (cost, error) {
			if err := os.RemoveAll(folder); err != nil {
				return cost{}, err
			}
			return w.print(ctx, manifest, batches, folder)
		},
	}, nil
}

// enter makes the peer's file of labels.
func (w *workshop) enter(p peer, command []string, batches []batch) (*entrant, error) {
	text, pdf := w.path(p.name+".txt"), w.path(p.name+".pdf")
	if err := writeFile(text, batches, writeLabels); err != nil {
		return nil, err
	}
	args := append(command[1:len(command):len(command)], text, w.path("regular.ttf"), w.path("bold.ttf"), pdf)
	return &entrant{
		row: row{name: p.name, labels: stems(batches)}, batches: batches, stems: pdf,
		run: func(ctx context.Context) (cost, error) {
			if err := os.RemoveAll(pdf); err != nil {
				return cost{}, err
			}
			return measure(ctx, nil, nil, w.environment, command[0], args...)
		},
	}, nil
}
