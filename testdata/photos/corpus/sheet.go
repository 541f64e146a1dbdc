package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	scaling "golang.org/x/image/draw"

	"graftslip/testdata/photos"
)

// Lengths on the sheet, in pixels.
const (
	cell      = 160 // side of a picture
	gap       = 4   // between pictures of one kind
	apart     = 14  // between kinds
	captioned = 24  // height of the line with the name of a kind
	letters   = 15  // size of the letters
)

// across is how many kinds stand side by side.
const across = 4

// sheetQuality is that of the sheet as a JPEG.
const sheetQuality = 82

// contactSheet shows the symbols of each kind of photograph, cut out of what
// would be the corpus if it had all kinds.
func contactSheet(ctx context.Context, slips *photos.Slips) ([]byte, error) {
	kinds := photos.Kinds()
	width := len(symbols())*(cell+gap) - gap + apart
	height := captioned + cell + apart
	sheet := image.NewRGBA(image.Rect(0, 0, apart+across*width, apart+(len(kinds)+across-1)/across*height))
	draw.Draw(sheet, sheet.Rect, image.White, image.Point{}, draw.Src)
	caption, err := newCaption(sheet)
	if err != nil {
		return nil, err
	}
	for i, kind := range kinds {
		corner := image.Pt(apart+i%across*width, apart+i/across*height)
		caption.Dot = fixed.P(corner.X, corner.Y+letters)
		caption.DrawString(string(kind))
		for j, symbol := range symbols() {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			photo, err := slips.Take(kind, symbol, labelMegapixels, seed)
			if err != nil {
				return nil, err
			}
			place := image.Rect(0, 0, cell, cell).Add(corner.Add(image.Pt(j*(cell+gap), captioned)))
			if err := drawSymbol(sheet, place, photo); err != nil {
				return nil, fmt.Errorf("%s, %s: %w", kind, symbol, err)
			}
		}
	}
	var file bytes.Buffer
	err = jpeg.Encode(&file, sheet, &jpeg.Options{Quality: sheetQuality})
	return file.Bytes(), err
}

func newCaption(on draw.Image) (*font.Drawer, error) {
	typeface, err := opentype.Parse(dejavusanscondensed.TTF)
	if err != nil {
		return nil, err
	}
	face, err := opentype.NewFace(typeface, &opentype.FaceOptions{Size: letters, DPI: 72})
	if err != nil {
		return nil, err
	}
	return &font.Drawer{Dst: on, Src: image.NewUniform(color.Black), Face: face}, nil
}

// drawSymbol draws the square around the first code of a photograph.
func drawSymbol(sheet draw.Image, place image.Rectangle, photo photos.Photo) error {
	picture, err := jpeg.Decode(bytes.NewReader(photo.JPEG))
	if err != nil {
		return err
	}
	square := around(photo.Codes[0], picture.Bounds())
	seen := square.Intersect(picture.Bounds())
	scaled := func(p image.Point) image.Point {
		return place.Min.Add(p.Sub(square.Min).Mul(place.Dx()).Div(square.Dx()))
	}
	scaling.CatmullRom.Scale(sheet, image.Rectangle{scaled(seen.Min), scaled(seen.Max)}, picture, seen, draw.Src, nil)
	return nil
}

// around is a square with the symbol in its middle and a fifth of the symbol's
// length free on each side. It lies within the picture as far as it has room
// there; of a long symbol it reaches beyond the picture.
func around(code photos.Code, picture image.Rectangle) image.Rectangle {
	low, high := code.Corners[0], code.Corners[0]
	for _, c := range code.Corners[1:] {
		for i := range c {
			low[i], high[i] = min(low[i], c[i]), max(high[i], c[i])
		}
	}
	side := int(math.Ceil(1.4 * max(high[0]-low[0], high[1]-low[1])))
	start := func(i, room int) int {
		if room < side {
			return (room - side) / 2
		}
		return min(max(int((low[i]+high[i])/2)-side/2, 0), room-side)
	}
	corner := image.Pt(start(0, picture.Dx()), start(1, picture.Dy()))
	return image.Rectangle{corner, corner.Add(image.Pt(side, side))}
}
