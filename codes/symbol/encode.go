package symbol

import (
	"errors"
	"image"
	"image/color"
	"strings"
	"unicode/utf8"

	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/makiuchi-d/gozxing"
	matrixdecoder "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	"github.com/makiuchi-d/gozxing/oned"
)

// What the modes of QR hold (ISO/IEC 18004).
const (
	digits       = "0123456789"
	alphanumeric = digits + "ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
)

// Encode makes a symbol of text and decodes it again before it returns.
//
// A text of digits becomes QR in numeric mode at level H, which restores about
// 30 %. Any other text becomes QR in alphanumeric mode where its characters
// allow it and else in byte mode (UTF-8, and the symbol says so unless the text
// is ASCII), at the highest of the levels H, Q and M that does not make the
// symbol larger than M would. Of QR's eight masks it takes the one that the
// standard prefers. Data Matrix and Code 128 take ASCII only; Data Matrix
// symbols are square; Code 128 packs two digits a symbol character where four
// or more follow each other (set C), so that the fourteen digits of a code take
// 112 modules.
//
// The error wraps ErrText if a symbol of that kind cannot hold the text, and
// ErrReadBack if the symbol did not read back as the same text.
func Encode(kind Kind, text string) (Modules, error) {
	return encode(kind, text, draw)
}

// drawer draws a text as a symbol. It fails only if the text is too long.
type drawer func(Kind, string) (Modules, error)

// encode is Encode with the encoder to use.
func encode(kind Kind, text string, draw drawer) (Modules, error) {
	if err := check(kind, text); err != nil {
		return Modules{}, err
	}
	m, err := draw(kind, text)
	if err != nil {
		return Modules{}, unfit(kind, text, "the text is too long", "shorten the text")
	}
	if err := verify(m, text); err != nil {
		return Modules{}, err
	}
	return m, nil
}

// check refuses texts that the encoders would take for something else.
func check(kind Kind, text string) error {
	switch {
	case kind != QR && kind != DataMatrix && kind != Code128:
		return &fault{text: "no kind of symbol was chosen", hint: "use qr, datamatrix or code128"}
	case text == "":
		return unfit(kind, text, "the text is empty", "give it a text")
	case !utf8.ValidString(text):
		return unfit(kind, text, "the text is not UTF-8", "write the text in UTF-8")
	case kind != QR && strings.ContainsFunc(text, func(r rune) bool { return r >= utf8.RuneSelf }):
		return unfit(kind, text, "it takes ASCII characters only", "use qr for this text")
	}
	return nil
}

// draw is the drawer for texts that check has passed.
func draw(kind Kind, text string) (Modules, error) {
	if kind == QR {
		return qrSymbols.draw(text)
	}
	var picture image.Image
	var err error
	if kind == DataMatrix {
		picture, err = datamatrix.Encode(text)
	} else {
		picture, err = code128.Encode(text)
	}
	if err != nil {
		return Modules{}, err
	}
	return taken(kind, picture), nil
}

// consistsOf reports whether every character of text is one of set.
func consistsOf(text, set string) bool {
	return strings.TrimLeft(text, set) == "" // TrimLeft stops at the first other character
}

// taken returns the modules of a picture that has one pixel a module.
func taken(kind Kind, picture image.Image) Modules {
	bounds := picture.Bounds()
	m := Modules{kind: kind, width: bounds.Dx(), height: bounds.Dy()}
	m.dark = make([]bool, 0, m.width*m.height)
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			gray := color.GrayModel.Convert(picture.At(x, y)).(color.Gray)
			m.dark = append(m.dark, gray.Y < 0x80)
		}
	}
	return m
}

// verify reads m and returns an ErrReadBack unless it reads as text. A QR
// symbol may not have a single wrong module; in a Data Matrix symbol those that
// error correction restores do not count.
func verify(m Modules, text string) error {
	read, err := read(m)
	if err != nil {
		return unlike(m.kind, text, "cannot be read back: "+err.Error())
	}
	if read != text {
		return unlike(m.kind, text, "reads back as "+quoted(read))
	}
	return nil
}

// read decodes m.
func read(m Modules) (string, error) {
	switch m.kind {
	case QR:
		return qrProofs.read(m)
	case DataMatrix:
		return readDataMatrix(m)
	default:
		return readCode128(m)
	}
}

func readDataMatrix(m Modules) (string, error) {
	matrix, err := matrixOf(m)
	if err != nil {
		return "", err
	}
	result, err := matrixdecoder.NewDecoder().Decode(matrix)
	if err != nil {
		return "", err
	}
	return result.GetText(), nil
}

func readCode128(m Modules) (string, error) {
	decoder, ok := oned.NewCode128Reader().(oned.RowDecoder)
	if !ok {
		return "", errors.New("the Code 128 decoder reads no rows")
	}
	quiet, _ := m.Quiet()
	if !m.endsInStop() {
		return "", errors.New("the symbol does not end in the stop character")
	}
	row := gozxing.NewBitArray(quiet + m.width + quiet)
	for x := range m.width {
		if m.Dark(x, 0) {
			row.Set(quiet + x)
		}
	}
	result, err := decoder.DecodeRow(0, row, nil)
	if err != nil {
		return "", err
	}
	return result.GetText(), nil
}

// endsInStop reports whether m ends in the stop character of Code 128, of which
// the decoder overlooks the last bar (ISO/IEC 15417: widths 2 3 3 1 1 1 2;
// memory).
func (m Modules) endsInStop() bool {
	const stop = "1100011101011"
	for i := range len(stop) {
		if m.Dark(m.width-len(stop)+i, 0) != (stop[i] == '1') {
			return false
		}
	}
	return true
}

// matrixOf copies m into what the decoders read: they change what they are
// given.
func matrixOf(m Modules) (*gozxing.BitMatrix, error) {
	matrix, err := gozxing.NewBitMatrix(m.width, m.height)
	if err != nil {
		return nil, err
	}
	for y := range m.height {
		for x := range m.width {
			if m.Dark(x, y) {
				matrix.Set(x, y)
			}
		}
	}
	return matrix, nil
}
