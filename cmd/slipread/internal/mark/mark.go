// Package mark draws on a picture what was read off it where, for the person
// who took it: an outline round each symbol and a tag beside it.
package mark

import (
	"image"
	"image/color"
	"image/draw"

	"graftslip/codes/scan"
)

// Sign is a symbol that is marked.
type Sign struct {
	Symbol string // its kind, as package scan names it
	Sight  scan.Sight
	Lines  []string // of its tag; those after the first are left out where there is no room
	Kind   Kind
}

// Kind is what came of a symbol.
type Kind uint8

const (
	Read        Kind = iota
	NotInLedger      // read, and its code is in no ledger that was asked
	Missed           // seen and not read
)

// style is how a kind of sign looks. The line, whole, dotted or dashed, tells
// kinds apart as well as the colour.
type style struct {
	line, ground color.RGBA
	broken       *dashes // nil: the line is whole
}

// dashes are those of a broken line.
type dashes struct {
	period float64 // in widths of the line
	half   float64 // of a dash without its ends, each of which adds half a width; in periods
}

// style gives a blue, a red and a black that persons who see few colours can
// tell apart too (common practice, no source).
func (s Sign) style() style {
	switch s.Kind {
	case NotInLedger:
		return style{color.RGBA{25, 25, 25, 255}, color.RGBA{236, 236, 236, 255}, &dashes{period: 2.5}}
	case Missed:
		return style{color.RGBA{220, 50, 32, 255}, color.RGBA{255, 240, 190, 255}, &dashes{period: 7, half: 0.3}}
	}
	return style{color.RGBA{0, 90, 181, 255}, color.RGBA{232, 242, 255, 255}, nil}
}

// Draw gives a copy of a picture, on white where it is transparent, with signs
// on it. Nothing is drawn on a symbol unless there is no room beside it for its
// tag. The error is that of a font which cannot be read.
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
