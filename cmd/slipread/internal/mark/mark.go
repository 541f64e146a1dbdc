// Package mark shows on a picture what was read where: an outline round each symbol and
// a tag beside it.
package mark

import (
	"image"
	"image/color"
	"image/draw"

	"graftslip/codes/scan"
)

// Sign is a symbol to mark.
type Sign struct {
	Symbol string // its kind, as package scan names it
	Sight  scan.Sight
	Lines  []string // of its tag; without room only the first
	Kind   Kind
}

// Kind is the result for a symbol.
type Kind uint8

const (
	Read        Kind = iota
	NotInLedger      // read, but not in the ledger
	Missed           // seen and not read
)

// style is the look of a kind of sign. Kinds differ in colour and in their line, which
// is whole, dotted or dashed.
type style struct {
	line, ground color.RGBA
	broken       *dashes // nil: the line is whole
}

// dashes describe a broken line.
type dashes struct {
	period float64 // in widths of the line
	half   float64 // of a dash without its ends, each of which adds half a width; in periods
}

// style returns a blue, a red and a black that people with colour blindness can tell
// apart too (common practice, no source).
func (s Sign) style() style {
	switch s.Kind {
	case NotInLedger:
		return style{color.RGBA{25, 25, 25, 255}, color.RGBA{236, 236, 236, 255}, &dashes{period: 2.5}}
	case Missed:
		return style{color.RGBA{220, 50, 32, 255}, color.RGBA{255, 240, 190, 255}, &dashes{period: 7, half: 0.3}}
	}
	return style{color.RGBA{0, 90, 181, 255}, color.RGBA{232, 242, 255, 255}, nil}
}

// Draw returns a copy of a picture, with white for transparency, and signs on it. A tag
// covers a symbol only if there is no room beside it. The error is that of a font that
// cannot be read.
func Draw(picture image.Image, signs []Sign) (*image.RGBA, error) {
	box := picture.Bounds()
	page := image.NewRGBA(box)
	draw.Draw(page, box, image.White, image.Point{}, draw.Src)
	draw.Draw(page, box, picture, box.Min, draw.Over)
	pens := make([]pen, len(signs))
	taken := make([]image.Rectangle, len(signs))
	for i, sign := range signs {
		pens[i] = newPen(box, sign)
		taken[i] = pens[i].box()
	}
	tags, err := placeTags(page, signs, taken)
	if err != nil {
		return nil, err
	}
	for _, p := range pens {
		p.draw(page)
	}
	for i, t := range tags {
		t.draw(page, signs[i].style(), pens[i].width)
	}
	return page, nil
}
