package scan

import (
	"github.com/makiuchi-d/gozxing"
	matrixdecoder "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	"github.com/makiuchi-d/gozxing/oned"
	qrdecoder "github.com/makiuchi-d/gozxing/qrcode/decoder"
)

// Names of the symbols, as in Found.
const (
	QR         = "qr"
	DataMatrix = "datamatrix"
	Code128    = "code128"
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

// rowReader reads a Code 128 off one row of dark and light.
type rowReader struct{ decoder oned.RowDecoder }

func newRowReader() rowReader {
	decoder, _ := oned.NewCode128Reader().(oned.RowDecoder)
	return rowReader{decoder}
}

// read gives the text, where the symbol begins and ends and the width of a
// module, all in elements of the row.
func (r rowReader) read(row *gozxing.BitArray) (text string, from, to, module float64, ok bool) {
	text, ok = careful(func() (string, error) {
		result, err := r.decoder.DecodeRow(0, row, nil)
		if err != nil {
			return "", err
		}
		// The reader points to the middles of the first symbol character and
		// of the last, the stop, whose last bar it leaves out. Eleven modules
		// each, the last bar two more (ISO/IEC 15417).
		points, characters := result.GetResultPoints(), len(result.GetRawBytes())
		first, last := points[0].GetX(), points[1].GetX()
		module = (last - first) / float64(11*(characters-1))
		from, to = first-5.5*module, last+7.5*module
		return result.GetText(), nil
	})
	return text, from, to, module, ok
}
