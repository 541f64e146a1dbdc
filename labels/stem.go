package labels

import (
	"errors"
	"fmt"
	"time"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

// Options say how slips are made.
type Options struct {
	Face    *Typeface
	Words   Words
	Stock   layouts.Stock
	Wrap    layouts.Wrap  // for batches that name none; stem labels only
	Stem    layouts.Stem  // for batches that name no diameter; stem labels only
	Symbols []symbol.Kind // in order of preference
	DPI     float64
}

// goodStemModule is the module of a stem label's symbol beyond which text gains
// more than the symbol, in mm.
const goodStemModule = 0.5

// Largest sizes of text, in points.
const (
	largestStemText  = 20.0
	largestCodeText  = 10.0
	largestStockText = 14.0
)

// StemDesign is the stem label of one batch, ready to be filled in for each
// stem: sizes and places are the same on all of them.
type StemDesign struct {
	batch   records.Batch
	options Options
	wrap    layouts.Wrap
	creases []float64
	panels  []designedPanel
}

type designedPanel struct {
	layouts.Panel
	arrangement arrangement
	paragraphs  func(StemDesign, unit) []paragraph
	symbol      bool
}

// unit is what differs between the labels of a batch.
type unit struct {
	code  codes.Code
	count string
}

// DesignStem lays out the stem label of a batch. The errors, several at once,
// are *GlyphError, *FitError or *PlaceError, the last wrapping a
// *layouts.WrapError or a *symbol.RoomError.
func DesignStem(batch records.Batch, o Options) (*StemDesign, error) {
	d := &StemDesign{batch: batch, options: o}
	if errs := checkGlyphs(o.Face, batch, []cell{{"variety", records.Quoted(batch.Variety)}, {"stock", records.Quoted(batch.Stock)}}); errs != nil {
		return nil, errors.Join(errs...)
	}
	wrap, stem, column := o.Wrap, o.Stem, ""
	if batch.Wrap != 0 {
		wrap, column = batch.Wrap, "wrap"
	}
	if batch.Stem != 0 {
		stem.Diameter, column = batch.Stem, "stem"
	}
	wrapped, err := o.Stock.Wrap(wrap, stem)
	if err != nil {
		return nil, &PlaceError{batch.Row, column, err}
	}
	d.wrap, d.creases = wrap, wrapped.Creases
	widest, err := d.widest()
	if err != nil {
		return nil, &PlaceError{batch.Row, "", err}
	}
	candidates, err := encodeAll(o.Symbols, widest.code.Compact())
	if err != nil {
		return nil, &PlaceError{batch.Row, "", err}
	}
	for _, panel := range designPanels(wrapped) {
		arranged, err := d.arrange(panel, widest, candidates)
		if err != nil {
			return nil, err
		}
		d.panels = append(d.panels, arranged)
	}
	return d, nil
}

// designPanels shares the content between the panels: names on the first and
// the symbol with its code on the second, or all on the only one.
func designPanels(wrapped layouts.Wrapped) []designedPanel {
	if len(wrapped.Panels) == 2 {
		return []designedPanel{
			{Panel: wrapped.Panels[0], paragraphs: StemDesign.names},
			{Panel: wrapped.Panels[1], paragraphs: StemDesign.codeAlone, symbol: true},
		}
	}
	return []designedPanel{{Panel: wrapped.Panels[0], paragraphs: StemDesign.everything, symbol: true}}
}

// arrange fits a panel's content upright, or turned along the stem where the
// panel is narrow and names are set much larger so.
func (d *StemDesign) arrange(panel designedPanel, widest unit, candidates []symbol.Modules) (designedPanel, error) {
	upright, err := d.arrangeAs(panel, widest, candidates)
	if panel.Bend != layouts.Flat || panel.Width >= panel.Height {
		return upright, err
	}
	panel.Turn = panel.Turn.Add(layouts.Clockwise)
	turned, turnedErr := d.arrangeAs(panel, widest, candidates)
	larger := 1.15
	if panel.symbol {
		larger = 1.5 // a code in two upright lines beside the symbol is read more easily
	}
	if turnedErr == nil && (err != nil || turned.arrangement.block.size >= larger*upright.arrangement.block.size) {
		return turned, nil
	}
	return upright, err
}

func (d *StemDesign) arrangeAs(panel designedPanel, widest unit, candidates []symbol.Modules) (designedPanel, error) {
	inner := panel.Inner()
	paragraphs := panel.paragraphs(*d, widest)
	if !panel.symbol {
		block, fits := fit(d.options.Face, paragraphs, inner, largestStemText)
		if !fits {
			return panel, d.misfit(paragraphs, inner)
		}
		panel.arrangement = arrangement{block: block, text: layouts.Rect{Width: inner.Width, Height: inner.Height}}
		return panel, nil
	}
	a := area{Size: inner, bend: panel.Bend, diameter: panel.Diameter, module: goodStemModule, mostText: largestStemText, centre: paragraphs[0].centre}
	way, ok := arrange(d.options.Face, paragraphs, a, candidates, d.options.DPI)
	switch {
	case ok:
		panel.arrangement = way
		return panel, nil
	case way.symbolMissed != nil:
		return panel, &PlaceError{d.batch.Row, "", way.symbolMissed}
	}
	return panel, d.misfit(paragraphs, inner)
}

func (d *StemDesign) misfit(paragraphs []paragraph, room layouts.Size) error {
	column, text := misfit(d.options.Face, paragraphs, room)
	return &FitError{Row: d.batch.Row, Column: column, Text: text, Stock: d.options.Stock.Name, Wrap: d.wrap, Room: room}
}

// widest is a unit whose texts are at least as wide as those of every label of
// the batch: digits are all of one width.
func (d *StemDesign) widest() (unit, error) {
	code, err := d.batch.Code.Stem(d.batch.Grafts)
	if err != nil {
		return unit{}, err
	}
	width := func(text string) float64 { return d.options.Face.measure(text, LeastSize, Regular).width() }
	widest := unit{code, d.count(d.batch.Grafts)}
	if width(d.options.Words.Spare) > width(widest.count) {
		widest.count = d.options.Words.Spare
	}
	return widest, nil
}

func (d *StemDesign) count(stem int) string {
	return fmt.Sprintf(d.options.Words.Count, stem, d.batch.Grafts)
}

// Slip fills in the label of one stem.
func (d *StemDesign) Slip(stem int) (Slip, error) {
	code, err := d.batch.Code.Stem(stem)
	if err != nil {
		return Slip{}, err
	}
	return d.fill(unit{code, d.count(stem)})
}

// Spare fills in a spare label, which says everything but a stem number and
// carries the code of the batch.
func (d *StemDesign) Spare() (Slip, error) {
	return d.fill(unit{d.batch.Code, d.options.Words.Spare})
}

func (d *StemDesign) fill(u unit) (Slip, error) {
	slip := Slip{Creases: d.creases}
	for _, panel := range d.panels {
		c := canvas{&slip, d.options.Face, panel.Placed}
		if !panel.symbol {
			panel.arrangement.block.draw(c, panel.paragraphs(*d, u), panel.arrangement.text)
			continue
		}
		modules, err := symbol.Encode(panel.arrangement.fitted.Kind(), u.code.Compact())
		if err != nil {
			return Slip{}, err
		}
		panel.arrangement.draw(c, panel.paragraphs(*d, u), modules, u.code.Compact())
	}
	return slip, nil
}

// Small reports whether the symbol's modules are smaller than readers like
// (below 0.33 mm), and how large they are in mm.
func (d *StemDesign) Small() (module float64, small bool) {
	for _, panel := range d.panels {
		if panel.symbol {
			return panel.arrangement.fitted.Module, panel.arrangement.fitted.Small
		}
	}
	return 0, false
}

func (d StemDesign) names(u unit) []paragraph {
	return append(pair(d.options.Face, d.batch, largestStemText, largestStockText),
		dateAndCount(d.batch, u.count))
}

func (d StemDesign) codeAlone(u unit) []paragraph {
	p := codeParagraph(u.code, 1)
	p.centre, p.foot = true, false
	return []paragraph{p}
}

func (d StemDesign) everything(u unit) []paragraph {
	return append(d.names(u), codeParagraph(u.code, 0.6))
}

// pair says scion and rootstock.
func pair(face *Typeface, batch records.Batch, mostVariety, mostStock float64) []paragraph {
	return []paragraph{
		name(face, "variety", records.Quoted(batch.Variety), Bold, 1, mostVariety),
		name(face, "stock", "/ "+records.Quoted(batch.Stock), Regular, 0.72, mostStock),
	}
}

func dateAndCount(batch records.Batch, count string) paragraph {
	date := batch.Date.Format(time.DateOnly)
	return paragraph{ways: [][]string{{date + "   " + count}, {date, count}}, share: 0.6, most: largestCodeText, foot: true}
}

// codeParagraph says the code in one line or in two groups.
func codeParagraph(code codes.Code, share float64) paragraph {
	text := code.String()
	const dateAndBatch = len("26329-004")
	return paragraph{ways: [][]string{{text}, {text[:dateAndBatch], text[dateAndBatch+1:]}}, share: share, most: largestCodeText, foot: true}
}

// encodeAll makes the candidate symbols for a text.
func encodeAll(kinds []symbol.Kind, text string) ([]symbol.Modules, error) {
	candidates := make([]symbol.Modules, 0, len(kinds))
	for _, kind := range kinds {
		modules, err := symbol.Encode(kind, text)
		if err != nil {
			return nil, err
		}
		candidates = append(candidates, modules)
	}
	return candidates, nil
}
