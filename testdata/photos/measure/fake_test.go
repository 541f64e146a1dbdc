package main

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"testing"
	"time"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/testdata/photos"
)

// plainCamera makes small pictures of plain symbols, whatever is asked for. It
// says that blank ones have the code that they lack.
type plainCamera struct {
	t     *testing.T
	blank photos.Kind
}

func (c plainCamera) Take(kind photos.Kind, symbol string, _ float64, seed uint64) (photos.Photo, error) {
	return c.photo(kind, symbol, kind != c.blank, seed), nil
}

func (c plainCamera) Tray(symbol string, codes int, _ float64, seed uint64) (photos.Photo, error) {
	var seeds []uint64
	for i := range codes {
		seeds = append(seeds, seed%2*100+uint64(i))
	}
	return c.photo("", symbol, true, seeds...), nil
}

func (c plainCamera) Empty(float64, uint64) (photos.Photo, error) {
	return photos.Photo{JPEG: c.encode(blankPicture(image.Pt(200, 100)))}, nil
}

// photo has a symbol for each seed, below one another.
func (c plainCamera) photo(kind photos.Kind, symbol string, drawn bool, seeds ...uint64) photos.Photo {
	const side = 60
	width := side
	if symbol == scan.Code128 {
		width = 140 // 112 modules and quiet zones
	}
	picture := blankPicture(image.Pt(width, side*len(seeds)).Mul(module))
	photo := photos.Photo{Kind: kind, Symbol: symbol, Size: picture.Rect.Max}
	for i, seed := range seeds {
		text := codeOf(c.t, int(seed))
		photo.Codes = append(photo.Codes, photos.Code{Text: text, Module: module})
		if drawn {
			drawSymbol(c.t, picture, image.Pt(12, 12+side*i), symbol, text, 0)
		}
	}
	photo.JPEG = c.encode(picture)
	return photo
}

func (c plainCamera) encode(picture image.Image) []byte {
	var b bytes.Buffer
	require.NoError(c.t, jpeg.Encode(&b, picture, nil))
	return b.Bytes()
}

// codeOf is a code of its own for each number up to 8998.
func codeOf(t *testing.T, number int) string {
	t.Helper()
	batch, err := codes.New(time.Date(2027, time.April, 11, 0, 0, 0, 0, time.UTC), 7)
	require.NoError(t, err)
	stem, err := batch.Stem(1 + number)
	require.NoError(t, err)
	return stem.Compact()
}

const module = 4 // pixels

func blankPicture(size image.Point) *image.Gray {
	picture := image.NewGray(image.Rectangle{Max: size})
	draw.Draw(picture, picture.Rect, image.White, image.Point{}, draw.Src)
	return picture
}

// drawSymbol draws a symbol at a place in modules, with the ink of this shade.
func drawSymbol(t *testing.T, picture draw.Image, at image.Point, symbol, text string, ink uint8) {
	t.Helper()
	var made barcode.Barcode
	var err error
	high := 1
	switch symbol {
	case scan.QR:
		made, err = qr.Encode(text, qr.H, qr.Numeric)
	case scan.DataMatrix:
		made, err = datamatrix.Encode(text)
	default:
		made, err = code128.Encode(text)
		high = 30
	}
	require.NoError(t, err)
	size := made.Bounds().Size()
	for y := range size.Y * high {
		for x := range size.X {
			if shade, _, _, _ := made.At(x, y/high).RGBA(); shade == 0 {
				place := image.Rectangle{at.Add(image.Pt(x, y)), at.Add(image.Pt(x+1, y+1))}
				draw.Draw(picture, image.Rectangle{place.Min.Mul(module), place.Max.Mul(module)}, image.NewUniform(color.Gray{Y: ink}), image.Point{}, draw.Src)
			}
		}
	}
}
