package symbol

import (
	"image"
	"image/color"
	"strings"
	"unicode/utf8"

	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
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
// The error is a *TextError if a symbol of that kind cannot hold the text, and
// an *ErrReadBack if the symbol did not read back as the same text.
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
		return Modules{}, &TextError{kind, text, "the text is too long", "shorten the text"}
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
		return &advised{"no kind of symbol was chosen", "use qr, datamatrix or code128"}
	case text == "":
		return &TextError{kind, text, "the text is empty", "give it a text"}
	case !utf8.ValidString(text):
		return &TextError{kind, text, "the text is not UTF-8", "write the text in UTF-8"}
	case kind != QR && strings.ContainsFunc(text, func(r rune) bool { return r >= utf8.RuneSelf }):
		return &TextError{kind, text, "it takes ASCII characters only", "use qr for such a text"}
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
