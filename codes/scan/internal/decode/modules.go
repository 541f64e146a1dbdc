// Package decode makes texts of sampled modules, some of them damaged. The
// decoding itself is left to an independent library.
package decode

import (
	"iter"
	"math"
	"slices"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/common"
	matrixdecoder "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	qrdecoder "github.com/makiuchi-d/gozxing/qrcode/decoder"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

// careful runs a try of the decoding library, which may panic on odd input,
// and takes a panic for nothing read. An empty text is nothing read, too: an
// all-white field decodes to one.
func careful[R interface{ GetText() string }](try func() (R, error)) (text string, ok bool) {
	defer func() {
		if recover() != nil {
			text, ok = "", false
		}
	}()
	result, err := try()
	if err != nil {
		return "", false
	}
	text = result.GetText()
	return text, text != ""
}

// decoded is the text of a QR code or Data Matrix, given row by row, of which the
// library corrects some modules.
func decoded(symbol string, columns int, seen []restore.Module) (string, bool) {
	return careful(func() (*common.DecoderResult, error) {
		bits, err := gozxing.NewBitMatrix(columns, len(seen)/columns)
		if err != nil {
			return nil, err
		}
		for i, module := range seen {
			if module.Dark {
				bits.Set(i%columns, i/columns)
			}
		}
		if symbol == fit.QR {
			return qrdecoder.NewDecoder().Decode(bits, nil)
		}
		return matrixdecoder.NewDecoder().Decode(bits)
	})
}

// restored are the texts of a damaged QR code or Data Matrix with so many
// modules a side, the likeliest first.
func restored(symbol string, side int, seen []restore.Module) iter.Seq[string] {
	codewords, parse := restore.Matrix(side, seen), matrixdecoder.DecodedBitStreamParser_decode
	if symbol == fit.QR {
		codewords, parse = restore.QR(side, seen), func(data []byte) (*common.DecoderResult, error) {
			version, err := qrdecoder.Version_GetProvisionalVersionForDimension(side)
			if err != nil {
				return nil, err
			}
			// The level is told with the result and matters for nothing else.
			return qrdecoder.DecodedBitStreamParser_Decode(data, version, qrdecoder.ErrorCorrectionLevel_L, nil)
		}
	}
	return func(yield func(string) bool) {
		for data := range codewords {
			text, ok := careful(func() (*common.DecoderResult, error) { return parse(data) })
			if ok && !yield(text) {
				return
			}
		}
	}
}

// textOf decodes the modules of a square symbol as they are, and restored.
func textOf(symbol string, side int, seen []restore.Module, accept func(string) bool) (string, bool) {
	if text, ok := decoded(symbol, side, seen); ok && accept(text) {
		return text, true
	}
	for text := range restored(symbol, side, seen) {
		if accept(text) {
			return text, true
		}
	}
	return "", false
}

// classify tells dark from light modules: the surer, the further from the level.
func classify(s *fit.Samples, level func(x, y int) float64) []restore.Module {
	seen := make([]restore.Module, 0, s.Columns*s.Rows)
	for y := range s.Rows {
		for x := range s.Columns {
			v := s.At(x, y) - level(x, y)
			seen = append(seen, restore.Module{Dark: v < 0, Sure: math.Abs(v)})
		}
	}
	return seen
}

// classified tells dark from light samples that were normalized.
func classified(s *fit.Samples) []restore.Module {
	return classify(s, func(int, int) float64 { return 0.5 })
}

// Find is a symbol that was read, in pixels of the level it was read on.
type Find struct {
	Text    string
	Symbol  string
	Module  float64 // pixels; 0 when it is not known
	Corners [4]pixels.Point
}

// Middle is the mean of the corners.
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

// Within reports whether one of the finds holds a position.
func Within(finds []Find, p pixels.Point) bool {
	return slices.ContainsFunc(finds, func(f Find) bool { return f.Holds(p) })
}

// Scaled is the find on a picture so many times the size.
func (f Find) Scaled(scale float64) Find {
	f.Module *= scale
	for i := range f.Corners {
		f.Corners[i] = f.Corners[i].Mul(scale)
	}
	return f
}

// Unread is the symbol that a guess lies over, without its text. The modules of
// bars are as wide as the first.
func Unread(g *fit.Guess) Find {
	f := Find{Symbol: g.Symbol, Module: g.Lattice.Module(), Corners: g.Lattice.Outline()}
	if g.Symbol == fit.Code128 {
		f.Module = g.Lattice.Place(1, 0).Distance(g.Lattice.Place(0, 0))
	}
	return f
}

// read is the symbol that a guess lies over.
func read(g *fit.Guess, text string) (Find, bool) {
	f := Unread(g)
	f.Text = text
	return f, true
}
