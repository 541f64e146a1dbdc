package proof

import (
	"fmt"
	"strings"

	"graftslip/codes"
)

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

// The kinds.
const (
	Wrong   Kind = "wrong"   // as in Report, or a file with more slips than it was written with
	Missing Kind = "missing" // as in Report
	Edge    Kind = "edge"    // ink nearer to a cut edge than layouts.Edge
	Outside Kind = "outside" // ink or a symbol outside the labels
	Paper   Kind = "paper"   // the page has another size than the label stock's paper
)

// Fault is one thing that is wrong. It is an error for the person.
type Fault struct {
	Kind  Kind
	Page  int        // from 1; 0 when it is the file's fault
	Place int        // of the label, from 1 along the rows; 0 when it is the page's fault
	Code  codes.Code // the symbol's, else the one in print; zero when there is none
	Text  string     // what is wrong

	advice string
}

// Error says where and what.
func (f *Fault) Error() string {
	if f.Page == 0 {
		return f.Text
	}
	where := []string{fmt.Sprintf("page %d", f.Page)}
	if f.Place > 0 {
		where = append(where, fmt.Sprintf("place %d", f.Place))
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
	adviceCorrection = "shift or scale is too large: print it again with a smaller --shift or --scale, or without"
	adviceLedger     = "was it printed with another ledger? Name that one with --ledger FILE"
)
