package main

import (
	"bytes"
	"context"
	"fmt"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/records"
)

// reprinter makes one label or card again, as graftslip reprint does.
type reprinter struct {
	flags       command.PrintFlags
	stemOptions labels.Options
	trayOptions labels.Options
}

// newReprinter checks the flags and reads the font. Errors are those of
// command.PrintFlags.
func newReprinter(flags command.PrintFlags) (reprinter, error) {
	r := reprinter{flags: flags}
	if err := flags.Check(); err != nil {
		return r, err
	}
	var err error
	r.stemOptions, r.trayOptions, err = flags.Options()
	return r, err
}

// Positions returns how many positions a sheet for a code's label or card has.
func (r reprinter) Positions(code codes.Code) int { return r.optionsOf(code).Stock.Count() }

func (r reprinter) optionsOf(code codes.Code) labels.Options {
	if code.Kind() == codes.Tray {
		return r.trayOptions
	}
	return r.stemOptions
}

// Reprint returns a PDF with the label of a stem, the card of a tray or a spare label of
// a batch, and a name for its file. It stands at a position of the sheet, 1 to Positions
// along the rows; the rest of the sheet stays blank. Errors are those of
// labels.DesignStem, labels.DesignTray and pdf.Write, and the context's.
func (r reprinter) Reprint(ctx context.Context, record records.Record, position int) (name string, content []byte, err error) {
	options := r.optionsOf(record.Code)
	design, err := r.design(record)
	if err != nil {
		return "", nil, fmt.Errorf("%v: %w", record.Code, err)
	}
	base, title := reprintName(record.Code), labels.StemTitle
	if record.Code.Kind() == codes.Tray {
		title = labels.TrayTitle
	}
	document := pdf.Document{
		Title: fmt.Sprintf(title, base), Author: "graftslip", Language: labels.Language, Date: record.Batch.Date, Face: options.Face,
		Setup: r.flags.Setup(options), Free: []int{position},
	}
	var file bytes.Buffer
	_, err = pdf.Write(&file, document, func(yield func(labels.Design, error) bool) { yield(design, ctx.Err()) })
	if err != nil {
		return "", nil, err
	}
	return base + ".pdf", file.Bytes(), nil
}

// design lays out a label or card, the same as all others of its batch.
func (r reprinter) design(record records.Record) (labels.Design, error) {
	if record.Code.Kind() == codes.Tray {
		design, err := labels.DesignTray(record.Batch, r.trayOptions)
		if err != nil {
			return labels.Design{}, err
		}
		return design.Card(record.Code.Number())
	}
	design, err := labels.DesignStem(record.Batch, r.stemOptions)
	switch {
	case err != nil:
		return labels.Design{}, err
	case record.Code.Kind() == codes.Stem:
		return design.Label(record.Code.Number())
	}
	return design.Spare()
}

// reprintName is the name of a file for a code, without its ending.
func reprintName(code codes.Code) string {
	name := "reprint-" + code.BatchName() + "-"
	switch code.Kind() {
	case codes.Stem:
		return fmt.Sprintf("%sstem-%d", name, code.Number())
	case codes.Tray:
		return fmt.Sprintf("%stray-%d", name, code.Number())
	}
	return name + "spare"
}
