package labels

import (
	"slices"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// form is how much a stem label carries.
type form uint8

// The forms, the richest first. Those that leave something out are for small label stock.
const (
	whole      form = iota // names, date, stem number, code
	lined                  // the same, with all that follows the names in one line
	brief                  // the variety, and the code with the symbol
	briefBatch             // the variety and the part of the code that names the batch
	codeAlone              // the code
	batchAlone             // the part of the code that names the batch
)

// Omits lists what has no room on the labels, "" for nothing.
func (d *StemLabels) Omits() string {
	return [...]string{"", "", "rootstock and date", "rootstock, date and stem number", "names and date", "names, date and stem number"}[d.form]
}

// Abridged lists the texts that shortened labels of a code may have.
func Abridged(batch records.Batch, code codes.Code) []string {
	variety, name := records.Quoted(batch.Variety), code.BatchName()
	return []string{variety + " " + code.String(), variety + " " + name, code.String(), name}
}

// paragraphs are the content of a panel. Names and code stay together on a curve,
// where the foot of the panel is out of sight of its head. On a flag the names are
// on one panel and the code on the other, of the shortest forms the symbol alone.
func (d *StemLabels) paragraphs(panel designedPanel, u unit) []paragraph {
	const follows = 0.6 // of the size of the variety
	code := codeParagraph(u.code, 1, largestCodeText)
	if d.form == briefBatch || d.form == batchAlone {
		code.ways = [][]string{{u.code.BatchName()}}
	}
	switch {
	case d.form >= briefBatch && !panel.names:
		return nil
	case d.form >= codeAlone, !panel.names:
		return []paragraph{code}
	}
	flat := d.wrap != layouts.Band
	code.share, code.foot = follows, flat
	switch d.form {
	case brief:
		if !panel.code {
			return d.pair[:1]
		}
		return []paragraph{d.pair[0], code}
	case briefBatch:
		return []paragraph{d.pair[0], code}
	}
	date := d.options.Dates.Format(d.batch.Date)
	dated := paragraph{ways: [][]string{{date + "   " + u.count}, {date, u.count}}, share: follows, most: largestCodeText, foot: flat}
	switch {
	case !panel.code:
		return append(slices.Clone(d.pair), dated)
	case d.form == lined:
		code.ways = [][]string{{date + "   " + u.count + "   " + u.code.String()}}
		return append(slices.Clone(d.pair), code)
	}
	return append(slices.Clone(d.pair), dated, code)
}
