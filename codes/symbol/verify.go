package symbol

import (
	"errors"

	"github.com/makiuchi-d/gozxing"
	datamatrix "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	"github.com/makiuchi-d/gozxing/oned"
)

// verify reads m and returns an *ErrReadBack unless it reads as text. A QR
// symbol may not have a single wrong module; in a Data Matrix symbol those that
// error correction restores do not count.
func verify(m Modules, text string) error {
	read, err := read(m)
	if err != nil {
		return &ErrReadBack{Kind: m.kind, Text: text, Cause: err}
	}
	if read != text {
		return &ErrReadBack{Kind: m.kind, Text: text, Read: read}
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
	result, err := datamatrix.NewDecoder().Decode(matrix)
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
