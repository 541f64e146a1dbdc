package proof

import (
	"context"
	"fmt"
	"image"
	"math"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// proof is the proof of one file.
type proof struct {
	Check
	grid   grid
	report Report
	found  bool // a symbol or a printed code
	first  map[codes.Code]position
}

// position is where a code stands, counted from 1.
type position struct{ page, place int }

func newProof(c Check, setup labels.Setup, dpi float64) *proof {
	pixel := layouts.MillimetresPerInch / dpi
	return &proof{
		Check:  c,
		grid:   grid{setup, pixel},
		report: Report{Outlines: setup.Outlines, LeastDistance: math.Inf(1), Pixel: pixel},
		first:  map[codes.Code]position{},
	}
}

// label is what was found on one label of a page.
type label struct {
	place   int         // from 0
	picture *image.Gray // of the page
	texts   []string
	boxes   []image.Rectangle // of the texts
	symbols []scan.Found
	ink     image.Rectangle
}

// page proves one page.
func (p *proof) page(ctx context.Context, page scan.Page) error {
	p.report.Pages++
	p.paper(page.Picture.Rect)
	deviation := p.Spread * symbol.Dot(p.grid.DPI) / p.grid.pixel
	founds, err := scan.Picture(ctx, blurred(page.Picture, deviation), nil)
	if err != nil {
		return err
	}
	found := make([]label, p.grid.Stock.Count())
	boxes, stray := p.grid.ink(page.Picture)
	for place := range found {
		found[place] = label{place: place, picture: page.Picture, ink: boxes[place]}
	}
	for _, text := range page.Texts {
		if place := p.grid.placeOf(text.Place); place != outside {
			l := &found[place]
			l.texts, l.boxes = append(l.texts, text.Text), append(l.boxes, text.Place)
		}
	}
	for _, symbol := range founds {
		p.found = true
		if place := p.grid.placeOf(symbol.Place); place != outside {
			found[place].symbols = append(found[place].symbols, symbol)
		} else {
			p.fault(&Fault{Kind: Outside, Text: fmt.Sprintf("the symbol of %q lies outside the labels", symbol.Text), advice: p.inkAdvice()})
		}
	}
	for _, l := range found {
		if len(l.symbols) == 0 && len(l.texts) > 0 {
			if l.symbols, err = p.magnified(ctx, page.Picture, l.place, deviation); err != nil {
				return err
			}
			p.found = p.found || len(l.symbols) > 0
		}
		if err := p.label(l); err != nil {
			return err
		}
	}
	if !stray.Empty() && !p.grid.Outlines {
		area := p.grid.area(stray)
		p.fault(&Fault{Kind: Outside, advice: p.inkAdvice(),
			Text: fmt.Sprintf("there is ink outside the labels, from %s mm to %s mm from the left and %s mm to %s mm from the top of the paper",
				tenth(area.X), tenth(area.X+area.Width), tenth(area.Y), tenth(area.Y+area.Height))})
	}
	return nil
}

// paper compares the size of a page with that of the stock's paper.
func (p *proof) paper(picture image.Rectangle) {
	const slack = 1.0 // mm
	width, height := float64(picture.Dx())*p.grid.pixel, float64(picture.Dy())*p.grid.pixel
	paper := p.grid.Stock.Paper
	if math.Abs(width-paper.Width) > slack || math.Abs(height-paper.Height) > slack {
		p.fault(&Fault{Kind: Paper, advice: adviceDoNotUse, Text: fmt.Sprintf("the page measures %s × %s mm, but the paper of %s measures %s × %s mm",
			tenth(width), tenth(height), p.grid.Stock.Name, tenth(paper.Width), tenth(paper.Height))})
	}
}

// edge measures the ink of a label to its edges. Ink may come a pixel nearer
// than the letters were set: half of one as each letter is drawn at whole
// pixels, half of one as a pixel is black when half of it is covered.
func (p *proof) edge(l label) *Fault {
	if l.ink.Empty() || p.grid.Outlines {
		return nil
	}
	by, side := p.grid.Stock.Position(l.place).Overhang(p.grid.area(l.ink))
	distance := max(0, -by)
	p.report.LeastDistance = min(p.report.LeastDistance, distance)
	if distance >= layouts.Edge-max(symbol.Dot(p.grid.DPI), p.grid.pixel) {
		return nil
	}
	text := fmt.Sprintf("ink is %s mm from the %s edge; the minimum is %s mm", hundredth(distance), side, tenth(layouts.Edge))
	if distance < p.grid.pixel {
		text = fmt.Sprintf("ink reaches the %s edge", side)
	}
	return &Fault{Kind: Edge, Text: text, advice: p.inkAdvice()}
}

// inkAdvice is what helps where ink lies beside its place.
func (p *proof) inkAdvice() string {
	if p.grid.Correction.None() {
		return adviceDoNotUse
	}
	return adviceCorrection
}

// complete compares the number of labels and cards that the file tells with those that
// were found. Those that are not there count as missing.
func (p *proof) complete() {
	told, found := p.grid.Printed, p.report.Symbols
	if told == found {
		return
	}
	kind := Wrong
	if told > found {
		kind = Missing
		p.report.Symbols, p.report.Missing = told, p.report.Missing+told-found
	}
	p.report.Faults = append(p.report.Faults, Fault{Kind: kind, advice: adviceDoNotUse,
		Text: fmt.Sprintf("labels or cards that the file was written with: %d; found on its pages: %d", told, found)})
}

// fault notes a fault of the page that is proved.
func (p *proof) fault(f *Fault) {
	f.Page = p.report.Pages
	p.report.Faults = append(p.report.Faults, *f)
}

const (
	// clearModule is how many pixels of the drawing a module has at least where
	// spread ink does not keep it from being read.
	clearModule   = 4
	magnification = 3
)

// magnified reads a label once more with more pixels to a dot, over which the ink
// has spread as before. The finds are in pixels of the page.
func (p *proof) magnified(ctx context.Context, picture *image.Gray, place int, deviation float64) ([]scan.Found, error) {
	if symbol.SmallestModule/p.grid.pixel >= clearModule {
		return nil, nil
	}
	from := p.grid.pixels(place).Intersect(picture.Rect)
	near := image.NewGray(image.Rect(0, 0, magnification*from.Dx(), magnification*from.Dy()))
	for y := range near.Rect.Dy() {
		line := near.Pix[y*near.Stride:][:near.Rect.Dx()]
		seen := picture.Pix[picture.PixOffset(from.Min.X, from.Min.Y+y/magnification):]
		for x := range line {
			line[x] = seen[x/magnification]
		}
	}
	founds, err := scan.Picture(ctx, blurred(near, magnification*deviation), nil)
	for i := range founds {
		f := &founds[i]
		f.Module /= magnification
		f.Place = image.Rectangle{f.Place.Min.Div(magnification), f.Place.Max.Add(image.Pt(magnification-1, magnification-1)).Div(magnification)}.Add(from.Min)
	}
	return founds, err
}

func tenth(mm float64) string     { return layouts.FormatNumber(math.Round(mm*10) / 10) }
func hundredth(mm float64) string { return layouts.FormatNumber(math.Floor(mm*100) / 100) }
