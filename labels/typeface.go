package labels

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"sync"
	"sync/atomic"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// millimetresPerPoint: a point is 1/72 inch.
const millimetresPerPoint = 25.4 / 72

// Weight is how bold a text is.
type Weight uint8

const (
	Regular Weight = iota
	Bold
)

// Typeface measures text and knows which characters it can set. It is safe for
// concurrent use.
type Typeface struct {
	Name  string
	faces [2]*face // by Weight
}

type face struct {
	data       []byte
	font       *sfnt.Font
	unitsPerEm float64
	common     [commonRunes]atomic.Pointer[glyph] // those measured so far
	others     sync.Map                           // rune to *glyph
}

// commonRunes is where the letters of most languages in Latin, Greek and
// Cyrillic end.
const commonRunes = 0x500

// glyph is measured in em, upwards positive.
type glyph struct {
	missing                  bool
	advance                  float64
	left, right, top, bottom float64 // of the ink; all 0 when there is none
}

// ErrTypeface says that a file holds no font that can be embedded.
var ErrTypeface = errors.New("it is not a TrueType font (.ttf with outlines in a glyf table)")

// ErrDigits says that a font would set codes in columns that do not line up.
var ErrDigits = errors.New("its digits are not all of one width, as codes need them")

// BuiltIn is DejaVu Sans Condensed in two weights, with wide Latin, Greek and
// Cyrillic coverage.
func BuiltIn() (*Typeface, error) {
	regular, err := newFace(dejavusanscondensed.TTF)
	if err != nil {
		return nil, fmt.Errorf("built-in font: %w", err)
	}
	bold, err := newFace(dejavusanscondensedbold.TTF)
	if err != nil {
		return nil, fmt.Errorf("built-in bold font: %w", err)
	}
	return &Typeface{Name: "DejaVu Sans Condensed", faces: [2]*face{regular, bold}}, nil
}

// NewTypeface reads a TrueType font, which then serves for both weights. The
// error wraps ErrTypeface, ErrDigits or ErrEmbedding.
func NewTypeface(name string, data []byte) (*Typeface, error) {
	single, err := newFace(data)
	if err != nil {
		return nil, err
	}
	return &Typeface{Name: name, faces: [2]*face{single, single}}, nil
}

func newFace(data []byte) (*face, error) {
	// Collections, and outlines in PostScript form, cannot be embedded.
	if len(data) < 12 || !bytes.Equal(data[:4], []byte{0, 1, 0, 0}) && string(data[:4]) != "true" {
		return nil, ErrTypeface
	}
	parsed, err := sfnt.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrTypeface, err)
	}
	if err := embeddable(data); err != nil {
		return nil, err
	}
	f := &face{data: data, font: parsed, unitsPerEm: float64(parsed.UnitsPerEm())}
	for digit := '1'; digit <= '9'; digit++ {
		if f.glyph(digit).advance != f.glyph('0').advance {
			return nil, ErrDigits
		}
	}
	return f, nil
}

// em is the size at which one unit of the font is one unit of the measure.
func (f *face) em() fixed.Int26_6 { return fixed.Int26_6(f.unitsPerEm * 64) }

func (f *face) inEm(v fixed.Int26_6) float64 { return float64(v) / 64 / f.unitsPerEm }

func (f *face) glyph(r rune) *glyph {
	if 0 <= r && r < commonRunes {
		if g := f.common[r].Load(); g != nil {
			return g
		}
		g := f.measured(r)
		f.common[r].Store(g)
		return g
	}
	if g, known := f.others.Load(r); known {
		return g.(*glyph)
	}
	g := f.measured(r)
	f.others.Store(r, g)
	return g
}

func (f *face) measured(r rune) *glyph {
	var buffer sfnt.Buffer
	index, err := f.font.GlyphIndex(&buffer, r)
	if err != nil || index == 0 {
		return &glyph{missing: true}
	}
	bounds, advance, err := f.font.GlyphBounds(&buffer, index, f.em(), font.HintingNone)
	if err != nil {
		return &glyph{missing: true}
	}
	return &glyph{
		advance: f.inEm(advance), left: f.inEm(bounds.Min.X), right: f.inEm(bounds.Max.X),
		top: -f.inEm(bounds.Min.Y), bottom: -f.inEm(bounds.Max.Y),
	}
}

// Data returns a copy of the font file for a weight.
func (t *Typeface) Data(w Weight) []byte { return bytes.Clone(t.faces[w].data) }

// missing reports whether the typeface cannot set a character in one of its
// weights.
func (t *Typeface) missing(r rune) bool {
	return t.faces[Regular].glyph(r).missing || t.faces[Bold].glyph(r).missing
}

// extent is what a line of text measures in mm: the advance, and its ink
// relative to the start of the baseline, upwards positive.
type extent struct {
	advance                  float64
	left, right, top, bottom float64
}

func (e extent) width() float64 { return max(e.advance, e.right) - min(0, e.left) }

// scaled is the extent of the same line at another size.
func (e extent) scaled(factor float64) extent {
	return extent{e.advance * factor, e.left * factor, e.right * factor, e.top * factor, e.bottom * factor}
}

// measure sets a text at a size in points.
func (t *Typeface) measure(text string, size float64, w Weight) extent {
	f := t.faces[w]
	e := extent{left: math.Inf(1), right: math.Inf(-1), top: math.Inf(-1), bottom: math.Inf(1)}
	for _, r := range text {
		g := f.glyph(r)
		if g.left != g.right {
			e.left, e.right = min(e.left, e.advance+g.left), max(e.right, e.advance+g.right)
			e.top, e.bottom = max(e.top, g.top), min(e.bottom, g.bottom)
		}
		e.advance += g.advance
	}
	if math.IsInf(e.left, 1) {
		return extent{advance: e.advance * size * millimetresPerPoint}
	}
	return e.scaled(size * millimetresPerPoint)
}

// ErrEmbedding says that a font's maker does not allow to embed it.
var ErrEmbedding = errors.New("its maker does not allow it to be embedded in a file")

// embeddable reports whether a font file, which sfnt has parsed, is one that
// can be embedded in a PDF: its tables have the formats that the PDF library
// reads (which otherwise prints nothing, or worse, something else), and its
// maker allows it. Tables are those of the OpenType specification.
func embeddable(data []byte) error {
	const noEmbedding, onlySubsets = 0x0002, 0x0300 // OS/2 fsType: restricted; no subsetting, bitmaps only
	os2, cmap := table(data, "OS/2"), table(data, "cmap")
	for _, need := range []struct {
		table  string
		offset int // of a format that must be 0
	}{{"name", 0}, {"head", 52}, {"hhea", 32}} {
		if format, ok := number(table(data, need.table), need.offset); !ok || format != 0 {
			return ErrTypeface
		}
	}
	if kind, ok := number(os2, 8); ok && (kind == noEmbedding || kind&onlySubsets != 0) {
		return ErrEmbedding
	}
	if table(data, "glyf") == nil || table(data, "loca") == nil || !hasUnicodeMap(cmap) {
		return ErrTypeface
	}
	return nil
}

// hasUnicodeMap reports whether a cmap table has a subtable of format 4 for
// Unicode.
func hasUnicodeMap(cmap []byte) bool {
	count, _ := number(cmap, 2)
	for i := range int(count) {
		entry := 4 + 8*i
		platform, _ := number(cmap, entry)
		encoding, ok := number(cmap, entry+2)
		if !ok || len(cmap) < entry+8 || !(platform == 0 || platform == 3 && encoding == 1) {
			continue
		}
		if format, ok := number(cmap, int(binary.BigEndian.Uint32(cmap[entry+4:]))); ok && format == 4 {
			return true
		}
	}
	return false
}

// table returns a table of a font file, nil when there is none.
func table(data []byte, tag string) []byte {
	count, _ := number(data, 4)
	for i := range int(count) {
		entry := 12 + 16*i
		if len(data) < entry+16 || string(data[entry:entry+4]) != tag {
			continue
		}
		from, length := uint64(binary.BigEndian.Uint32(data[entry+8:])), uint64(binary.BigEndian.Uint32(data[entry+12:]))
		if from+length <= uint64(len(data)) {
			return data[from : from+length]
		}
	}
	return nil
}

// number reads an unsigned number of two bytes.
func number(data []byte, offset int) (uint16, bool) {
	if offset < 0 || offset+2 > len(data) {
		return 0, false
	}
	return binary.BigEndian.Uint16(data[offset:]), true
}
