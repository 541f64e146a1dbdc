// Package proof reads a file of labels and cards back as a printer would print it: every
// symbol is read off the drawn pages and held against the records and against
// the text beside it, which must be there to be seen, and the ink is measured to
// the cut edges.
package proof

import (
	"context"
	"fmt"
	"iter"
	"strings"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/internal/prefetch"
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
	// Calendar is the one with which tray cards were made: it says from which
	// day to check for new growth.
	Calendar records.Calendar
	// DPI is the resolution in dots an inch at which pages are drawn; 0 means
	// that of the printer for which the file was made. Where a page would have
	// more than scan.MaxPixels it is drawn at a half of it, a third and so on.
	DPI float64
	// Spread blurs the pages from which symbols are read, as ink does on paper;
	// see InkSpread. Ink is measured without it.
	Spread float64
}

// Report is what a proof of a file has found.
type Report struct {
	Pages   int
	Symbols int // that there must be: one on each label with print, and on each that is not there
	Read    int // of them, with everything on the label as it must be
	Wrong   int // labels that contradict themselves or the records
	Missing int // labels with print from which no symbol could be read, and those that are not there

	SmallestModule float64 // of the symbols that were read, mm; 0 when none was or it is not known
	LeastDistance  float64 // of ink to a cut edge, mm, as far as a Pixel tells; 0 when ink lies on one, and with Outlines
	Pixel          float64 // of the drawing, mm
	Outlines       bool    // edges are drawn on purpose: the distance of ink to them was not measured

	Faults []Fault // page by page, in the order of the places; the file's own last
}

// Kind is what kind of fault a label or page has.
type Kind string

const (
	Wrong   Kind = "wrong"   // as in Report, or a file with more labels or cards than it was written with
	Missing Kind = "missing" // as in Report
	Edge    Kind = "edge"    // ink nearer to a cut edge than layouts.Edge
	Outside Kind = "outside" // ink or a symbol outside the labels
	Paper   Kind = "paper"   // the page has another size than the label stock's paper
)

// Fault is one thing that is wrong. It is an error for the person.
type Fault struct {
	Kind     Kind
	Page     int        // from 1; 0 when it is the file's fault
	Position int        // of the label, from 1 along the rows; 0 when it is the page's fault
	Code     codes.Code // the symbol's, else the one in print; zero when there is none
	Text     string     // what is wrong

	advice string
}

// Error says where and what.
func (f *Fault) Error() string {
	if f.Page == 0 {
		return f.Text
	}
	where := []string{fmt.Sprintf("page %d", f.Page)}
	if f.Position > 0 {
		where = append(where, fmt.Sprintf("position %d", f.Position))
	}
	if !f.Code.IsZero() {
		where = append(where, f.Code.String())
	}
	return strings.Join(where, ", ") + ": " + f.Text
}

// Hint says what to do.
func (f *Fault) Hint() string { return f.advice }

// Advice on faults.
const (
	adviceDoNotUse   = "do not use this file: print it again"
	adviceCorrection = "shift or scale is too large: print it again with a smaller --shift or --scale, or with neither"
	adviceLedger     = "if it was printed with another ledger, name that one with --ledger FILE"
)

// File proves a PDF. After each page, unless it is nil, page is called with the
// number of pages done and of all pages. What is wrong with labels and cards stands in
// the report; errors are a *Fault where the file holds no labels or cards, or does
// not tell how many, and those of the renderer, of Find and of ctx.
func (c Check) File(ctx context.Context, renderer *scan.Renderer, pdf []byte, page func(done, pages int)) (Report, error) {
	document, err := renderer.Open(ctx, pdf)
	if err != nil {
		return Report{}, err
	}
	defer document.Close()
	noneFound := &Fault{Text: "no labels or cards were found", advice: "name a PDF that graftslip print wrote"}
	setup, err := labels.ParseSetup(document.Keywords)
	switch {
	case err != nil && strings.Contains(document.Keywords, "stock="): // the paper of a page that is no label
		return Report{}, noneFound
	case err != nil || setup.Printed == 0:
		return Report{}, &Fault{Text: "it was not written by this version of graftslip", advice: "print it again"}
	}
	dpi := setup.DPI
	if c.DPI > 0 {
		dpi = c.DPI
	}
	dpi = drawable(setup.Stock.Paper, layouts.MillimetresPerInch/symbol.Dot(dpi))
	p := newProof(c, setup, dpi)
	// A page is read while the next one is drawn.
	for drawn, err := range prefetch.Values(pagesOf(document, dpi), 1) {
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
		return Report{}, noneFound
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
