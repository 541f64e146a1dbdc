package labels

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

// Largest sizes of text, in points.
const (
	largestStemText  = 20.0
	largestCodeText  = 10.0
	largestStockText = 14.0
)

// StemLabels are the stem labels of one batch: sizes and places are the same on
// all of them.
type StemLabels struct {
	batch   records.Batch
	options Options
	pair    []paragraph // scion and rootstock, equal on all labels
	form    form
	wrap    layouts.Wrap
	creases []float64
	panels  []designedPanel
}

// designedPanel is a panel with what stands on it.
type designedPanel struct {
	layouts.Panel
	arrangement arrangement
	names, code bool // whether it has them, the code with its symbol
}

// unit is what differs between the labels of a batch.
type unit struct {
	code  codes.Code
	count string
}

// DesignStem lays out the stem label of a batch. Errors, several at once,
// are *Error; one wraps what package layouts or symbol says. Small label stock
// carries what fits, see Omits.
func DesignStem(batch records.Batch, o Options) (*StemLabels, error) {
	forms := []form{whole, lined}
	if o.Stock.Small() {
		forms = append(forms, brief, briefBatch, codeAlone, batchAlone)
	}
	var first, last error
	for _, form := range forms {
		d, err := designStem(batch, o, form)
		if err == nil {
			return d, nil
		}
		first, last = cmp.Or(first, err), err
	}
	if o.Stock.Small() {
		return nil, last // it asks for least
	}
	return nil, first
}

func designStem(batch records.Batch, o Options, form form) (*StemLabels, error) {
	d := &StemLabels{batch: batch, options: o, form: form}
	if errs := checkText(o.Face, batch.Row, cells(batch.Draft)[:2]...); errs != nil {
		return nil, errors.Join(errs...)
	}
	d.pair = pair(o.Face, batch, largestStemText, largestStockText)
	wrap, stem, column := o.Wrap, o.Stem, labelColumn
	if batch.Wrap != 0 {
		wrap, column = batch.Wrap, "label wrap"
	}
	if batch.Stem != 0 {
		stem.Diameter, column = batch.Stem, "stem"
	}
	wrapped, err := o.Stock.Wrap(wrap, stem)
	if err != nil {
		return nil, &Error{Where: Where{batch.Row, column}, Err: err}
	}
	d.wrap, d.creases = wrap, wrapped.Creases
	code, err := batch.Code.Stem(batch.Grafts)
	if err != nil {
		return nil, &Error{Where: Where{batch.Row, "grafts"}, Err: err}
	}
	candidates, err := largestSymbols(o.Symbols, []string{code.Compact()})
	if err != nil {
		return nil, &Error{Where: Where{batch.Row, labelColumn}, Err: err}
	}
	// Names stand on the first panel and the symbol with its code on the last.
	for i, panel := range wrapped.Panels {
		d.panels = append(d.panels, designedPanel{Panel: panel, names: i == 0, code: i == len(wrapped.Panels)-1})
	}
	if d.panels, err = d.arrange(d.panels, code, candidates); err != nil {
		return nil, err
	}
	return d, nil
}

// arrange fits the panels' content. On flat panels that are narrower than high
// it may also be turned along the stem: all of it or only one panel, which
// costs the reader something, so that names must gain by it.
func (d *StemLabels) arrange(panels []designedPanel, code codes.Code, candidates []symbol.Modules) ([]designedPanel, error) {
	best, err := d.arrangeTurned(panels, nil, code, candidates)
	if panels[0].Bend != layouts.Flat || panels[0].Width >= panels[0].Height {
		return best, err
	}
	bestScore := 1.2 * score(best) // upright reads best
	for _, try := range []struct {
		turned []bool
		worth  float64
	}{{[]bool{true, true}, 1}, {[]bool{true, false}, 0.8}, {[]bool{false, true}, 0.8}} {
		turned, turnedErr := d.arrangeTurned(panels, try.turned, code, candidates)
		if turnedErr == nil && (err != nil || try.worth*score(turned) > bestScore) {
			best, err, bestScore = turned, nil, try.worth*score(turned)
		}
	}
	return best, err
}

// score weighs the size of the names and of the code with its symbol.
func score(panels []designedPanel) float64 {
	product := 1.0
	for _, panel := range panels {
		product *= min(panel.arrangement.block.size, goodSize)
		if panel.code && panel.arrangement.fitted.Small {
			product /= 4
		}
	}
	return product
}

func (d *StemLabels) arrangeTurned(panels []designedPanel, turned []bool, code codes.Code, candidates []symbol.Modules) ([]designedPanel, error) {
	arranged := slices.Clone(panels)
	for i := range arranged {
		panel := &arranged[i]
		if i < len(turned) && turned[i] {
			panel.Turn = panel.Turn.Add(layouts.Clockwise)
		}
		var err error
		if panel.arrangement, err = d.arrangePanel(*panel, code, candidates); err != nil {
			return nil, err
		}
	}
	return arranged, nil
}

// arrangePanel fits one panel's content so that all labels of the batch and
// its spare labels have room.
func (d *StemLabels) arrangePanel(panel designedPanel, code codes.Code, candidates []symbol.Modules) (arrangement, error) {
	face, inner := d.options.Face, panel.Inner()
	paragraphs := widened(
		measured(face, d.paragraphs(panel, unit{code, CountWords(d.batch, d.batch.Grafts)})),
		measured(face, d.paragraphs(panel, unit{code, SpareWord})))
	if !panel.code {
		block, fits := fit(paragraphs, inner, largestStemText)
		if !fits {
			return arrangement{}, misfit(d.batch.Row, paragraphs, d.on(), inner)
		}
		return arrangement{block: block, text: inner.Rect()}, nil
	}
	return arrange(paragraphs, area{
		Size: inner, row: d.batch.Row, on: d.on(), bend: panel.Bend, diameter: panel.Diameter,
		module: goodModule(inner), mostText: largestStemText, middle: !panel.names,
	}, candidates, d.options.DPI)
}

// goodModule is the module of a stem label's symbol beyond which text gains
// more than the symbol, in mm: a code's QR symbol, 29 modules with its quiet
// zone, may take 0.7 of a panel's shorter side.
func goodModule(panel layouts.Size) float64 {
	const side, share, least, most = 29, 0.7, 0.5, 0.8
	return min(most, max(least, share*min(panel.Width, panel.Height)/side))
}

// on is what the labels are printed on.
func (d *StemLabels) on() string {
	if d.wrap == layouts.LiesFlat {
		return d.options.Stock.Name
	}
	return d.options.Stock.Name + " as a " + d.wrap.String()
}

// Label fills in the label of one stem.
func (d *StemLabels) Label(stem int) (Design, error) {
	code, err := d.batch.Code.Stem(stem)
	if err != nil {
		return Design{}, err
	}
	return d.fill(unit{code, CountWords(d.batch, stem)})
}

// Spare fills in a spare label, which says everything but a stem number and
// carries the code of the batch.
func (d *StemLabels) Spare() (Design, error) {
	return d.fill(unit{d.batch.Code, SpareWord})
}

func (d *StemLabels) fill(u unit) (Design, error) {
	design := Design{Creases: d.creases}
	for _, panel := range d.panels {
		text := ""
		if panel.code {
			text = u.code.Compact()
		}
		err := panel.arrangement.draw(canvas{&design, d.options.Face, panel.Placed}, d.paragraphs(panel, u), text)
		if err != nil {
			return Design{}, fmt.Errorf("label %v: %w", u.code, err)
		}
	}
	return design, nil
}

// Small reports whether the symbol's modules are smaller than readers like
// (below 0.33 mm), and how large they are in mm.
func (d *StemLabels) Small() (module float64, small bool) {
	for _, panel := range d.panels {
		if panel.code {
			return panel.arrangement.fitted.Module, panel.arrangement.fitted.Small
		}
	}
	return 0, false
}

// For returns the design for a batch that differs in nothing but its code.
func (d *StemLabels) For(code codes.Code) *StemLabels {
	other := *d
	other.batch.Code = code
	return &other
}

// pair says scion and rootstock.
func pair(face *Typeface, batch records.Batch, mostVariety, mostStock float64) []paragraph {
	return []paragraph{
		name(face, "variety", records.Quoted(batch.Variety), Bold, 1, mostVariety),
		name(face, "stock", "/ "+records.Quoted(batch.Stock), Regular, 0.72, mostStock),
	}
}

// codeParagraph says the code in one line or in two groups.
func codeParagraph(code codes.Code, share, most float64) paragraph {
	text := code.String()
	const dateAndBatch = len("26329-004")
	return paragraph{ways: [][]string{{text}, {text[:dateAndBatch], text[dateAndBatch+1:]}}, share: share, most: most}
}
