package main

import (
	"bytes"
	"context"
	"fmt"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
	"graftslip/records"
)

// tagMaker makes the slip of one code once more, as graftslip reprint does.
type tagMaker struct {
	flags       command.SlipFlags
	stemOptions labels.Options
	trayOptions labels.Options
}

// newTagMaker checks the flags and reads the font. Errors are those of
// command.SlipFlags.
func newTagMaker(flags command.SlipFlags) (tagMaker, error) {
	m := tagMaker{flags: flags}
	if err := flags.Check(); err != nil {
		return tagMaker{}, err
	}
	var err error
	m.stemOptions, m.trayOptions, err = flags.Options()
	return m, err
}

// Places is how many places a sheet for the slip of a code has.
func (m tagMaker) Places(code codes.Code) int { return m.optionsOf(code).Stock.Count() }

func (m tagMaker) optionsOf(code codes.Code) labels.Options {
	if code.Kind() == codes.Tray {
		return m.trayOptions
	}
	return m.stemOptions
}

// Tag returns a PDF with the slip of a record's code, and a name for its file:
// the label of a stem, the card of a tray, or a spare label for the code of a
// batch. The slip lies at a place of the sheet, counted from 1 along the rows,
// and the rest of the sheet stays blank. Errors are those of labels.DesignStem,
// labels.DesignTray and pdf.Write, of a place that the sheet does not have, of a
// stem or tray that the batch does not have, and the context's.
func (m tagMaker) Tag(ctx context.Context, record records.Record, place int) (name string, content []byte, err error) {
	options := m.optionsOf(record.Code)
	if err := checkPlace(options.Stock, place); err != nil {
		return "", nil, err
	}
	if !record.Exists() {
		return "", nil, &command.HintedError{
			Err:    fmt.Errorf("%v: the batch has no such stem or tray", record.Code),
			Advice: fmt.Sprintf("%s has %s in %s", record.Batch.Code.BatchName(), records.Counted(record.Batch.Grafts, "graft"), records.Counted(record.Batch.Trays(), "tray"))}
	}
	slip, err := m.slip(record)
	if err != nil {
		return "", nil, fmt.Errorf("%v: %w", record.Code, err)
	}
	base, title := tagName(record.Code), options.Words.StemTitle
	if record.Code.Kind() == codes.Tray {
		title = options.Words.TrayTitle
	}
	document := pdf.Document{
		Title: fmt.Sprintf(title, base), Author: "graftslip", Language: options.Words.Language, Date: record.Batch.Date, Face: options.Face,
		Setup: m.flags.Setup(options), Free: []int{place},
	}
	var file bytes.Buffer
	_, err = pdf.Write(&file, document, func(yield func(labels.Design, error) bool) { yield(slip, ctx.Err()) })
	if err != nil {
		return "", nil, err
	}
	return base + ".pdf", file.Bytes(), nil
}

// slip lays out the slip of a code, so that it is the same as all others of its
// batch.
func (m tagMaker) slip(record records.Record) (labels.Design, error) {
	if record.Code.Kind() == codes.Tray {
		design, err := labels.DesignTray(record.Batch, m.trayOptions)
		if err != nil {
			return labels.Design{}, err
		}
		return design.Card(record.Code.Number())
	}
	design, err := labels.DesignStem(record.Batch, m.stemOptions)
	switch {
	case err != nil:
		return labels.Design{}, err
	case record.Code.Kind() == codes.Stem:
		return design.Label(record.Code.Number())
	}
	return design.Spare()
}

// checkPlace finds a place that a sheet does not have.
func checkPlace(stock layouts.Stock, place int) error {
	count := stock.Count()
	if place >= 1 && place <= count {
		return nil
	}
	if count == 1 {
		return &command.HintedError{Err: fmt.Errorf("%s has one place, there is no place %d", stock.Name, place), Advice: "name place 1"}
	}
	return &command.HintedError{
		Err:    fmt.Errorf("a sheet of %s has places 1 to %d, there is no place %d", stock.Name, count, place),
		Advice: "count the places along the rows, from the upper left, or look at the page that graftslip ruler " + stock.Name + " prints"}
}

// tagName is what a file with the slip of a code is called, without its ending.
func tagName(code codes.Code) string {
	name := "reprint-" + code.BatchName() + "-"
	switch code.Kind() {
	case codes.Stem:
		return fmt.Sprintf("%sstem-%d", name, code.Number())
	case codes.Tray:
		return fmt.Sprintf("%stray-%d", name, code.Number())
	}
	return name + "spare"
}
