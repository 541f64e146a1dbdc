package proof

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/records"
)

// label proves one label: nothing on it, or exactly one symbol whose code is
// known, stands nowhere else, and has everything that stands in print, which a
// person can see.
func (p *proof) label(l label) error {
	blank := l.ink.Empty() || p.grid.Outlines
	if blank && len(l.texts) == 0 && len(l.symbols) == 0 {
		return nil
	}
	p.report.Symbols++
	p.found = p.found || len(printedCodes(l.texts)) > 0
	verdict, code, err := p.verdict(l)
	if err != nil {
		return err
	}
	switch {
	case verdict == nil:
		p.report.Read++
	case verdict.Kind == Missing:
		p.report.Missing++
	default:
		p.report.Wrong++
	}
	for _, f := range []*Fault{verdict, p.edge(l)} {
		if f != nil {
			f.Position, f.Code = l.place+1, code
			p.fault(f)
		}
	}
	return nil
}

func wrong(format string, values ...any) *Fault {
	return &Fault{Kind: Wrong, Text: fmt.Sprintf(format, values...), advice: adviceDoNotUse}
}

// verdict is what is wrong with a label's symbol and text, nil when nothing is,
// and the code to name it by.
func (p *proof) verdict(l label) (*Fault, codes.Code, error) {
	printed := printedCodes(l.texts)
	var beside codes.Code
	if len(printed) > 0 {
		beside = printed[0]
	}
	switch len(l.symbols) {
	case 0:
		return &Fault{Kind: Missing, Text: "there is print, but no readable symbol", advice: adviceDoNotUse}, beside, nil
	case 1:
	default:
		var texts []string
		for _, found := range l.symbols {
			texts = append(texts, fmt.Sprintf("%q", found.Text))
		}
		return wrong("there is more than one symbol: %s", strings.Join(texts, ", ")), beside, nil
	}
	found := l.symbols[0]
	if module := p.module(found); module > 0 && (p.report.SmallestModule == 0 || module < p.report.SmallestModule) {
		p.report.SmallestModule = module
	}
	code, err := codes.FromSymbol(found.Text)
	if err != nil {
		return wrong("the symbol holds %q, which is not a valid code: %v", found.Text, err), beside, nil
	}
	repeated := p.repeated(code, l.place)
	if p.leaves(l.place, found) {
		f := wrong("the symbol runs over the edge of the label")
		f.advice = p.inkAdvice()
		return f, code, nil
	}
	record, known, err := p.Find(code)
	switch {
	case err != nil:
		return nil, codes.Code{}, err
	case !known:
		f := wrong("the symbol's code is not in the ledger")
		f.advice = adviceLedger
		return f, code, nil
	case record.Batch.Void:
		return wrong("the batch of this code has been %s", record.Batch.VoidWords(records.DateDay)), code, nil
	}
	var contradiction *Fault
	if !p.abridged(record, l.texts) {
		contradiction = p.contradiction(found.Text, record, printed, l.texts)
	}
	return cmp.Or(contradiction, p.hidden(l), repeated, p.small(found)), code, nil
}

// repeated notes where a code stands and finds that it stood before. Only that
// of a batch may, on spare labels.
func (p *proof) repeated(code codes.Code, place int) *Fault {
	first, again := p.first[code]
	switch {
	case code.Kind() == codes.Batch:
		return nil
	case again:
		return wrong("the same code is on page %d, position %d", first.page, first.place)
	}
	p.first[code] = position{p.report.Pages, place + 1}
	return nil
}

// module is the side of a symbol's modules in mm. They were printed as a whole
// number of dots, to which the measure is brought when it is near to one.
func (p *proof) module(found scan.Found) float64 {
	const near = 0.25
	module, dot := found.Module*p.grid.pixel, symbol.Dot(p.grid.DPI)
	if dots := math.Round(module / dot); math.Abs(module/dot-dots) <= near {
		return dots * dot
	}
	return module
}

// small finds a symbol whose modules are smaller than any that are printed, by
// more than measuring errs.
func (p *proof) small(found scan.Found) *Fault {
	const slack = 0.95
	if module := p.module(found); module > 0 && module < slack*symbol.SmallestModule {
		return wrong("the modules of the symbol measure %s mm; the minimum is %s mm", hundredth(module), hundredth(symbol.SmallestModule))
	}
	return nil
}

// leaves reports whether a symbol reaches over its label's edge, by more than
// the box around it is rounded.
func (p *proof) leaves(place int, found scan.Found) bool {
	slack := -1.5 * p.grid.pixel
	label := p.grid.Stock.Position(place).Rect.Inset(slack, slack, slack, slack)
	return found.Module > 0 && !label.Contains(p.grid.area(found.Place))
}

// abridged reports whether the texts are exactly those of a short form for small label
// stock.
func (p *proof) abridged(record records.Record, texts []string) bool {
	if !p.grid.Stock.Small() || record.Code.Kind() == codes.Tray {
		return false
	}
	bare := func(text string) string { return strings.ReplaceAll(compact(text), "-", "") } // none where a code is broken
	printed := bare(strings.Join(texts, ""))
	return slices.ContainsFunc(labels.Abridged(record.Batch, record.Code), func(form string) bool { return bare(form) == printed })
}

// contradiction compares a symbol with the record of its code and both with the
// texts beside it.
func (c Check) contradiction(said string, record records.Record, printed []codes.Code, texts []string) *Fault {
	if !slices.Contains(printed, record.Code) {
		if len(printed) == 0 {
			return wrong("the symbol's code is not printed beside it")
		}
		return wrong("the symbol has this code, but %v is printed beside it", printed[0])
	}
	for _, name := range []struct{ what, name string }{
		{"variety", records.Quoted(record.Batch.Variety)}, {"stock", records.Quoted(record.Batch.Stock)},
	} {
		if !stands(name.name, texts) {
			return wrong("the %s of this code is %s, but that is not printed", name.what, name.name)
		}
	}
	for _, s := range c.statements(record) {
		if !slices.ContainsFunc(s.wordings, func(words string) bool { return contains(texts, words) }) {
			if s.caveat != "" {
				return wrong("this card does not show %q, which the settings now give; %s", s.wordings[0], s.caveat)
			}
			return wrong("the %s of this code is %q, but that is not printed", s.what, s.wordings[0])
		}
	}
	if !strings.HasPrefix(said, record.Code.String()+" ") {
		return nil
	}
	carried, err := records.ParseLine(said)
	if err != nil {
		return wrong("the record in the symbol cannot be read: %v", err)
	}
	var fields []string
	for _, difference := range records.Differences(carried.Batch, record.Batch) {
		fields = append(fields, difference.Field)
	}
	if len(fields) > 0 {
		return wrong("the record in the symbol differs from the ledger in: %s", strings.Join(fields, ", "))
	}
	return nil
}
