package scan

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// kinds are the three symbols with the text lengths that labels carry.
func kinds() []string { return []string{QR, DataMatrix, Code128} }

// pattern is a symbol of one pixel a module, without its quiet zone.
func pattern(t testing.TB, kind, text string) barcode.Barcode {
	t.Helper()
	var b barcode.Barcode
	var err error
	switch kind {
	case QR:
		b, err = qr.Encode(text, qr.H, qr.Numeric)
	case DataMatrix:
		b, err = datamatrix.Encode(text)
	case Code128:
		b, err = code128.Encode(text)
	}
	require.NoError(t, err)
	return b
}

// quietModules is the quiet zone of a kind: ISO/IEC 18004, 16022 and 15417.
func quietModules(kind string) int {
	return map[string]int{QR: 4, DataMatrix: 1, Code128: 10}[kind]
}

// canvas is a white page to draw on.
func canvas(width, height int) *image.Gray {
	page := image.NewGray(image.Rect(0, 0, width, height))
	for i := range page.Pix {
		page.Pix[i] = 255
	}
	return page
}

// drawSymbol draws a symbol with its upper left module at a place, module
// pixels a module; bars are barHeight pixels high. Turned, it stands on its
// side. It gives the box of its modules.
func drawSymbol(page *image.Gray, b barcode.Barcode, at image.Point, module, barHeight int, turned bool) image.Rectangle {
	w, h := b.Bounds().Dx()*module, b.Bounds().Dy()*module
	if b.Metadata().Dimensions == 1 {
		h = barHeight
	}
	box := image.Rect(0, 0, w, h)
	if turned {
		box = image.Rect(0, 0, h, w)
	}
	box = box.Add(at)
	for y := range h {
		for x := range w {
			if v, _, _, _ := b.At(x/module, min(y/module, b.Bounds().Dy()-1)).RGBA(); v == 0 {
				if turned {
					page.SetGray(at.X+h-1-y, at.Y+x, color.Gray{})
				} else {
					page.SetGray(at.X+x, at.Y+y, color.Gray{})
				}
			}
		}
	}
	return box
}

// writer draws text.
type writer struct {
	t     testing.TB
	dpi   float64
	faces map[float64]font.Face
}

func newWriter(t testing.TB, dpi float64) *writer {
	return &writer{t: t, dpi: dpi, faces: map[float64]font.Face{}}
}

// write draws a line of text with its upper left corner at a place.
func (w *writer) write(page draw.Image, at image.Point, points float64, text string) {
	face := w.faces[points]
	if face == nil {
		parsed, err := opentype.Parse(dejavusanscondensed.TTF)
		require.NoError(w.t, err)
		face, err = opentype.NewFace(parsed, &opentype.FaceOptions{Size: points, DPI: w.dpi, Hinting: font.HintingNone})
		require.NoError(w.t, err)
		w.faces[points] = face
	}
	d := font.Drawer{Dst: page, Src: image.Black, Face: face,
		Dot: fixed.P(at.X, at.Y+face.Metrics().Ascent.Ceil())}
	d.DrawString(text)
}

// sheet is a page of labels.
type sheet struct {
	page   *image.Gray
	texts  []string
	places []image.Rectangle
}

// sheetPlan says how a sheet of labels is laid out.
type sheetPlan struct {
	kind          string
	dpi           float64
	module        int
	turned        bool // bars a quarter round
	width, height float64
	columns, rows int
	label, pitch  [2]float64 // width and height, mm
	corner        [2]float64 // of the first label, mm
	gap           int        // pixels between quiet zone and text
}

// smallLabels is a page of A4 with 5 × 13 labels of 38.1 × 21.2 mm.
func smallLabels(kind string, dpi float64, module int, turned bool) sheetPlan {
	return sheetPlan{kind: kind, dpi: dpi, module: module, turned: turned, width: 210, height: 297, columns: 5, rows: 13,
		label: [2]float64{38.1, 21.2}, pitch: [2]float64{40.64, 21.2}, corner: [2]float64{4.67, 10.7}, gap: 2}
}

// labelCode is the text of the nth label: fourteen digits, as codes have.
func labelCode(n int) string {
	return fmt.Sprintf("26%03d%03d%04d%02d", 60+n%200, 1+n%7, 1+n*37%8999, n*13%97)
}

func (p sheetPlan) draw(t testing.TB) *sheet {
	pixels := func(mm float64) int { return int(math.Round(mm * p.dpi / 25.4)) }
	s := &sheet{page: canvas(pixels(p.width), pixels(p.height))}
	w := newWriter(t, p.dpi)
	for row := range p.rows {
		for column := range p.columns {
			n := row*p.columns + column
			text := labelCode(n)
			at := image.Pt(pixels(p.corner[0]+float64(column)*p.pitch[0]), pixels(p.corner[1]+float64(row)*p.pitch[1]))
			box := image.Rectangle{at, at.Add(image.Pt(pixels(p.label[0]), pixels(p.label[1])))}
			s.texts = append(s.texts, text)
			s.places = append(s.places, p.drawLabel(t, w, s.page, box, n, text))
		}
	}
	return s
}

// drawLabel draws one label: names, rootstock, date and code around a symbol.
func (p sheetPlan) drawLabel(t testing.TB, w *writer, page *image.Gray, box image.Rectangle, n int, text string) image.Rectangle {
	names := []string{"'Long Meadow Russet'", "'Élan de Brumaire'", "'Kleiner Rotmantel'", "'Ivory Lattice'", "'Żółta Hala'"}
	b := pattern(t, p.kind, text)
	quiet := quietModules(p.kind) * p.module
	margin := int(1.5 * p.dpi / 25.4)
	line := func(points float64) int { return int(points*p.dpi/72*1.2) + 1 }
	corner := box.Min.Add(image.Pt(margin, margin))
	code := fmt.Sprintf("%s-%s-%s-%s", text[:5], text[5:8], text[8:12], text[12:])
	lines := []struct {
		points float64
		text   string
	}{{8, names[n%len(names)]}, {6, "M 26 / seedling"}, {6, fmt.Sprintf("2026-03-%02d  %d/64", 1+n%28, n+1)}, {6, code}}
	textAt := corner
	var place image.Rectangle
	if p.kind == Code128 && !p.turned {
		for _, l := range lines[:2] {
			w.write(page, textAt, l.points, l.text)
			textAt.Y += line(l.points)
		}
		height := box.Max.Y - margin - line(6) - p.gap - textAt.Y - p.gap
		place = drawSymbol(page, b, image.Pt(corner.X+quiet-margin/2, textAt.Y+p.gap), p.module, height, false)
		w.write(page, image.Pt(corner.X, place.Max.Y+p.gap), 6, code)
		return place
	}
	at := corner.Add(image.Pt(quiet, quiet))
	if p.kind == Code128 {
		place = drawSymbol(page, b, at, p.module, int(6*p.dpi/25.4), true)
		textAt.X = place.Max.X + p.gap
	} else {
		place = drawSymbol(page, b, at, p.module, 0, false)
		textAt.X = place.Max.X + quiet + p.gap
	}
	for _, l := range lines {
		w.write(page, textAt, l.points, l.text)
		textAt.Y += line(l.points)
	}
	return place
}
