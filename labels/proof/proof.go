// Package proof reads a file of slips back as a printer would print it: every
// symbol is read off the drawn pages and held against the records and against
// the text beside it, which must be there to be seen, and the ink is measured to
// the cut edges.
package proof

import (
	"context"
	"iter"
	"strings"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/internal/ahead"
	"graftslip/layouts"
	"graftslip/records"
)

// InkSpread is how far a printer's ink is taken to spread: the standard
// deviation of a Gaussian, in printer dots. Our own choice, no source.
const InkSpread = 1.0

// Check says how files are proved.
type Check struct {
	// Find returns what a code stands for, and whether it stands for anything.
	// An error ends the proof.
	Find func(codes.Code) (record records.Record, known bool, err error)
	// Words are those that stand on the slips.
	Words labels.Words
	// Calendar is the one with which tray cards were made: it says from which
	// day to look for new growth.
	Calendar records.Calendar
	// DPI is the resolution in dots an inch at which pages are drawn; 0 means
	// that of the printer for which the file was made. Where a page would have
	// more than scan.MaxPixels it is drawn at a half of it, a third and so on.
	DPI float64
	// Spread blurs the pages from which symbols are read, as ink does on paper;
	// see InkSpread. Ink is measured without it.
	Spread float64
}

// File proves a PDF. After each page, unless it is nil, page is called with the
// number of pages done and of all pages. What is wrong with the slips stands in
// the report; errors are a *Fault where the file holds no labels or cards, or does
// not tell how many, and those of the renderer, of Find and of ctx.
func (c Check) File(ctx context.Context, renderer *scan.Renderer, pdf []byte, page func(done, pages int)) (Report, error) {
	document, err := renderer.Open(ctx, pdf)
	if err != nil {
		return Report{}, err
	}
	defer document.Close()
	noSlips := &Fault{Text: "no slips were found", advice: "name a PDF that graftslip print has written"}
	setup, err := labels.ParseSetup(document.Keywords)
	switch {
	case err != nil && strings.Contains(document.Keywords, "stock="): // the paper of a page that is no slips
		return Report{}, noSlips
	case err != nil || setup.Printed == 0:
		return Report{}, &Fault{Text: "it was not made by this version of graftslip", advice: "print it again"}
	}
	dpi := setup.DPI
	if c.DPI > 0 {
		dpi = c.DPI
	}
	dpi = drawable(setup.Stock.Paper, layouts.MillimetresPerInch/symbol.Dot(dpi))
	p := newProof(c, setup, dpi)
	// A page is read while the next one is drawn.
	for drawn, err := range ahead.Of(pagesOf(document, dpi), 1) {
		if err == nil {
			err = p.page(ctx, drawn)
		}
		if err != nil {
			return Report{}, err
		}
		if page != nil {
			page(p.report.Pages, document.Pages)
		}
	}
	if !p.found {
		return Report{}, noSlips
	}
	p.complete()
	if p.report.Outlines {
		p.report.LeastDistance = 0
	}
	return p.report, nil
}

func pagesOf(document *scan.Document, dpi float64) iter.Seq2[scan.Page, error] {
	return func(yield func(scan.Page, error) bool) {
		for n := range document.Pages {
			if !yield(document.Page(n+1, dpi)) {
				return
			}
		}
	}
}
