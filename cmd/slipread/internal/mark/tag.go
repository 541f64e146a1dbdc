package mark

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// tag is a small plate with lines of text.
type tag struct {
	box   image.Rectangle
	lines []line
}

// line is a line of a tag, within its box.
type line struct {
	text     string
	face     font.Face
	baseline image.Point
}

// typesetter makes tags of one size.
type typesetter struct {
	size  float64       // pixels per em
	fonts [2]*sfnt.Font // of the first line and of the others
	faces [2]font.Face
}

// letterSize returns the size of tags, in pixels per em: from the picture's shorter side,
// to be legible on a whole page, but limited by the median size of symbols, so that tags
// fit between them.
func letterSize(picture image.Rectangle, symbols []image.Rectangle) float64 {
	const least, base, share, ofSymbol = 13, 6, 1.0 / 90, 0.45
	size := base + float64(min(picture.Dx(), picture.Dy()))*share
	if len(symbols) > 0 {
		sides := make([]int, len(symbols))
		for i, s := range symbols {
			sides[i] = max(s.Dx(), s.Dy())
		}
		slices.Sort(sides)
		size = min(size, float64(sides[len(sides)/2])*ofSymbol)
	}
	return math.Round(max(least, size))
}

func newTypesetter(size float64) (*typesetter, error) {
	t := &typesetter{size: size}
	const others = 0.85 // of the size of the first line
	for i, data := range [][]byte{dejavusanscondensedbold.TTF, dejavusanscondensed.TTF} {
		var err error
		if t.fonts[i], err = opentype.Parse(data); err != nil {
			return nil, err
		}
		options := &opentype.FaceOptions{Size: math.Round(size * [2]float64{1, others}[i]), DPI: 72, Hinting: font.HintingNone}
		if t.faces[i], err = opentype.NewFace(t.fonts[i], options); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// tag sets lines of text on a tag with its corner at (0, 0), without lines that have
// characters missing from the font.
func (t *typesetter) tag(texts []string) tag {
	inside := int(math.Ceil(t.size * 0.3))
	at, width := inside/2, 0
	var made tag
	for i, text := range texts {
		weight := min(i, 1)
		if !has(t.fonts[weight], text) {
			continue
		}
		face := t.faces[weight]
		metrics := face.Metrics()
		made.lines = append(made.lines, line{text, face, image.Pt(inside, at+metrics.Ascent.Ceil())})
		at += metrics.Height.Ceil()
		width = max(width, font.MeasureString(face, text).Ceil())
	}
	made.box = image.Rect(0, 0, width+2*inside, at+inside/2)
	return made
}

// has reports whether a font has all characters of a text.
func has(f *sfnt.Font, text string) bool {
	var buffer sfnt.Buffer
	for _, letter := range text {
		if index, err := f.GlyphIndex(&buffer, letter); err != nil || index == 0 {
			return false
		}
	}
	return true
}

// moved returns the tag with its upper left corner at a point.
func (t tag) moved(to image.Point) tag {
	t.box = t.box.Sub(t.box.Min).Add(to)
	return t
}

// draw draws a tag with a frame, which lies within its box.
func (t tag) draw(page *image.RGBA, s style, frame float64) {
	draw.Draw(page, t.box, image.NewUniform(s.line), image.Point{}, draw.Src)
	draw.Draw(page, t.box.Inset(max(1, int(frame/2))), image.NewUniform(s.ground), image.Point{}, draw.Src)
	for _, l := range t.lines {
		d := font.Drawer{Dst: page, Src: image.NewUniform(color.Black), Face: l.face,
			Dot: fixed.P(t.box.Min.X+l.baseline.X, t.box.Min.Y+l.baseline.Y)}
		d.DrawString(l.text)
	}
}
