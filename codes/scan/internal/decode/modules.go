// Package decode makes texts of sampled modules, some of them damaged. The
// decoding itself is left to an independent library.
package decode

import (
	"iter"
	"slices"

	"github.com/makiuchi-d/gozxing"
	matrixdecoder "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	qrdecoder "github.com/makiuchi-d/gozxing/qrcode/decoder"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

// modules is a square or oblong field of modules read off a picture.
type modules struct {
	columns, rows int
	dark          []bool // row by row
}

func (m *modules) matrix() (*gozxing.BitMatrix, error) {
	bits, err := gozxing.NewBitMatrix(m.columns, m.rows)
	if err != nil {
		return nil, err
	}
	for i, dark := range m.dark {
		if dark {
			bits.Set(i%m.columns, i/m.columns)
		}
	}
	return bits, nil
}

// careful runs a try of the decoding library, which may panic on odd input,
// and takes a panic for nothing read. An empty text is nothing read, too: an
// all-white field decodes to one.
func careful(try func() (string, error)) (text string, ok bool) {
	defer func() {
		if recover() != nil {
			text, ok = "", false
		}
	}()
	text, err := try()
	return text, err == nil && text != ""
}

// decodeQR restores and decodes the modules of a QR code.
func decodeQR(m *modules) (string, bool) {
	return careful(func() (string, error) {
		bits, err := m.matrix()
		if err != nil {
			return "", err
		}
		result, err := qrdecoder.NewDecoder().Decode(bits, nil)
		if err != nil {
			return "", err
		}
		return result.GetText(), nil
	})
}

// decodeMatrix restores and decodes the modules of a Data Matrix.
func decodeMatrix(m *modules) (string, bool) {
	return careful(func() (string, error) {
		bits, err := m.matrix()
		if err != nil {
			return "", err
		}
		result, err := matrixdecoder.NewDecoder().Decode(bits)
		if err != nil {
			return "", err
		}
		return result.GetText(), nil
	})
}

// format is how the modules of a kind of symbol are decoded and restored.
type format struct {
	decode   func(*modules) (string, bool)
	restored func(columns, rows int, m []restore.Module) iter.Seq[[]bool]
}

func formatOf(q *fit.Grid) format {
	if q.Symbol == fit.DataMatrix {
		return format{decodeMatrix, restore.Matrix}
	}
	return format{decodeQR, func(columns, _ int, m []restore.Module) iter.Seq[[]bool] { return restore.QR(columns, m) }}
}

// text decodes modules as they are, and restored.
func (f format) text(columns, rows int, reading []restore.Module, accept func(string) bool) (string, bool) {
	dark := make([]bool, len(reading))
	for i, m := range reading {
		dark[i] = m.Dark
	}
	if text, ok := f.decode(&modules{columns: columns, rows: rows, dark: dark}); ok && accept(text) {
		return text, true
	}
	for whole := range f.restored(columns, rows, reading) {
		if text, ok := f.decode(&modules{columns: columns, rows: rows, dark: whole}); ok && accept(text) {
			return text, true
		}
	}
	return "", false
}

// classify tells dark from light modules.
func classify(s *fit.Samples, level func(x, y int) float64) *modules {
	m := &modules{columns: s.Columns, rows: s.Rows, dark: make([]bool, s.Columns*s.Rows)}
	for y := range s.Rows {
		for x := range s.Columns {
			m.dark[y*s.Columns+x] = s.At(x, y) < level(x, y)
		}
	}
	return m
}

// Find is a symbol that was read, in pixels of the level it was read on.
type Find struct {
	Text    string
	Symbol  string
	Module  float64 // pixels; 0 when it is not known
	Corners [4]pixels.Point
}

func (f Find) Middle() pixels.Point {
	sum := pixels.Point{}
	for _, c := range f.Corners {
		sum = sum.Add(c)
	}
	return sum.Mul(0.25)
}

// Holds reports whether a position lies within the corners, which go clockwise
// or, of a mirrored symbol, counterclockwise.
func (f Find) Holds(p pixels.Point) bool {
	left, right := false, false
	for i, c := range f.Corners {
		side := f.Corners[(i+1)%4].Sub(c).Cross(p.Sub(c))
		left, right = left || side < 0, right || side > 0
	}
	return !left || !right
}

func Scaled(finds []Find, scale float64) []Find {
	for i := range finds {
		finds[i].Module *= scale
		for c := range finds[i].Corners {
			finds[i].Corners[c] = finds[i].Corners[c].Mul(scale)
		}
	}
	return finds
}

// Within reports whether one of the finds holds a position.
func Within(finds []Find, p pixels.Point) bool {
	return slices.ContainsFunc(finds, func(f Find) bool { return f.Holds(p) })
}
