package photos

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"math"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
	"graftslip/records"
)

// Resolutions in dots an inch: that of the printer for which slips are made,
// and that at which pages are drawn.
const (
	printerDPI = 300
	drawnDPI   = 600
)

// slip is a label or card cut out of its page, and the symbol on it.
type slip struct {
	picture *image.Gray  // light is paper
	turn    layouts.Turn // how print is turned on the picture
	modules symbol.Modules
	text    string
	symbol  frame // in pixels of the picture
	module  float64
	card    bool
	run     int // slips of one run are of one stock and go round stems in one way
}

// frame is a parallelogram: the upper left corner of something printed, and
// the ways from there to its upper right and lower left corners.
type frame struct {
	corner, across, down point
}

// at is the point at parts u across and v down.
func (f frame) at(u, v float64) point {
	return f.corner.plus(f.across.times(u)).plus(f.down.times(v))
}

// corners go clockwise from the upper left.
func (f frame) corners() [4]point { return [4]point{f.at(0, 0), f.at(1, 0), f.at(1, 1), f.at(0, 1)} }

// Slips are labels and cards, cut out of the pages of PDFs that this project
// prints, drawn at 600 dpi. They are not changed by being photographed, so
// they may be shared.
type Slips struct {
	bySymbol map[string][]slip // by the name of the symbol's kind
	tones    tones
}

// sheetOf is a PDF to be printed: a stock, and how its labels go round which
// stems, one way after the other.
type sheetOf struct {
	stock  string
	wraps  []layouts.Wrap // none for cards
	stem   float64        // mm
	labels int
	kinds  []symbol.Kind // one after the other
}

// sheets are what is printed. The panels of the shortest flags are too short
// for bars, the narrower bands too narrow.
func sheets() []sheetOf {
	squares, bars := []symbol.Kind{symbol.QR, symbol.DataMatrix}, []symbol.Kind{symbol.Code128}
	all := append(squares, bars...)
	return []sheetOf{
		{"letter-3x10", []layouts.Wrap{layouts.Flag}, 7, 150, squares},
		{"letter-2x10", []layouts.Wrap{layouts.Flag}, 6, 20, all},
		{"letter-2x10", []layouts.Wrap{layouts.Flag}, 5, 80, bars},
		{"letter-2x10", []layouts.Wrap{layouts.Band}, 12, 40, squares},
		{"letter-2x5", []layouts.Wrap{layouts.Band}, 12, 10, bars},
		{"letter-2x11", []layouts.Wrap{layouts.Loop}, 8, 22, all},
		{"strip-25x150", []layouts.Wrap{layouts.Flag, layouts.Loop}, 8, 12, all},
		{"card-4x6in", nil, 0, 6, all},
	}
}

// Print prints labels and cards with the three kinds of symbol and draws them.
// It takes some seconds.
func Print(ctx context.Context) (*Slips, error) {
	face, err := labels.BuiltIn()
	if err != nil {
		return nil, err
	}
	grown, err := batches()
	if err != nil {
		return nil, err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return nil, err
	}
	defer renderer.Close()
	s := &Slips{bySymbol: map[string][]slip{}, tones: newTones()}
	printed := 0
	for run, sheet := range sheets() {
		stock, err := layouts.Lookup(sheet.stock)
		if err != nil {
			return nil, err
		}
		p := press{run: run, batches: grown, options: labels.Options{
			Face: face, Stock: stock, DPI: printerDPI, Nursery: nursery,
			Stem: layouts.Stem{Diameter: sheet.stem, Clearance: layouts.Clearance},
		}}
		for n := range sheet.labels {
			if err := p.set(sheet, n, printed); err != nil {
				return nil, fmt.Errorf("a slip of %s: %w", sheet.stock, err)
			}
			printed++
		}
		if err := p.cut(ctx, renderer, s); err != nil {
			return nil, fmt.Errorf("pages of %s: %w", sheet.stock, err)
		}
	}
	return s, nil
}

// press makes the slips of one PDF.
type press struct {
	run     int
	batches []records.Batch
	options labels.Options
	slips   []labels.Design
}

// set adds slip n of a sheet, the printed-th of all: symbols change from slip
// to slip, batches after all symbols of the sheet.
func (p *press) set(sheet sheetOf, n, printed int) error {
	o := p.options
	o.Symbols = []symbol.Kind{sheet.kinds[n%len(sheet.kinds)]}
	batch := p.batches[printed/len(sheet.kinds)%len(p.batches)]
	number := 1 + printed*7919%79
	if sheet.wraps == nil {
		design, err := labels.DesignTray(batch, o)
		if err != nil {
			return err
		}
		return p.add(design.Card(number))
	}
	o.Wrap = sheet.wraps[n/len(sheet.kinds)%len(sheet.wraps)]
	design, err := labels.DesignStem(batch, o)
	if err != nil {
		return err
	}
	return p.add(design.Label(1 + printed*7919%7993))
}

func (p *press) add(s labels.Design, err error) error {
	p.slips = append(p.slips, s)
	return err
}

// cut prints the slips, draws the pages one by one and keeps the labels.
func (p *press) cut(ctx context.Context, renderer *scan.Renderer, into *Slips) error {
	var content bytes.Buffer
	setup := labels.Setup{Stock: p.options.Stock, DPI: printerDPI}
	document := pdf.Document{
		Title: "photographs", Author: nursery, Language: "en", Date: p.batches[0].Date, Face: p.options.Face, Setup: setup,
	}
	_, err := pdf.Write(&content, document, func(yield func(labels.Design, error) bool) {
		for _, s := range p.slips {
			if !yield(s, nil) {
				return
			}
		}
	})
	if err != nil {
		return err
	}
	first := 0
	for page, err := range renderer.Pages(ctx, content.Bytes(), drawnDPI) {
		if err != nil {
			return err
		}
		last := min(first+p.options.Stock.Count(), len(p.slips))
		for i, s := range p.slips[first:last] {
			sym := s.Symbols[0] // each slip has one
			cut := cutOut(page, p.options.Stock.Position(i), sym)
			cut.run, cut.card = p.run, p.options.Stock.Medium == layouts.Card
			into.bySymbol[sym.Kind().String()] = append(into.bySymbol[sym.Kind().String()], cut)
		}
		first = last
	}
	return nil
}

// cutOut cuts a label out of its page and finds the symbol on it, where
// package pdf puts it: at the nearest printer dot.
func cutOut(page *image.Gray, place layouts.Placed, sym labels.Symbol) slip {
	const pixel = layouts.MillimetresPerInch / drawnDPI
	whole := func(mm float64) int { return int(math.Round(mm / pixel)) }
	edges := image.Rect(whole(place.X), whole(place.Y), whole(place.X+place.Width), whole(place.Y+place.Height)).Intersect(page.Rect)
	picture := image.NewGray(image.Rect(0, 0, edges.Dx(), edges.Dy()))
	for y := range edges.Dy() {
		copy(picture.Pix[y*picture.Stride:][:edges.Dx()], page.Pix[page.PixOffset(edges.Min.X, edges.Min.Y+y):])
	}
	on := layouts.Placed{Rect: place.Area(sym.Place), Turn: place.Turn.Add(sym.Turn)}
	if sym.Turned {
		on.Turn = on.Turn.Add(layouts.Clockwise)
	}
	dot := symbol.Dot(printerDPI)
	on.X, on.Y = math.Round(on.X/dot)*dot, math.Round(on.Y/dot)*dot
	quietX, quietY := sym.Quiet()
	at := func(x, y float64) point {
		pageX, pageY := on.Point(float64(quietX)*sym.Module+x, float64(quietY)*sym.Module+y)
		return point{pageX/pixel - float64(edges.Min.X), pageY/pixel - float64(edges.Min.Y)}
	}
	width, height := float64(sym.Modules.Width())*sym.Module, float64(sym.Modules.Height())*sym.Module
	if sym.Kind() == symbol.Code128 {
		height = sym.Bar
	}
	corner := at(0, 0)
	return slip{
		picture: picture, turn: place.Turn, modules: sym.Modules, text: sym.Text, module: sym.Module / pixel,
		symbol: frame{corner, at(width, 0).minus(corner), at(0, height).minus(corner)},
	}
}
