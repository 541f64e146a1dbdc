package scan

import (
	"context"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// Limits of what is handed to the decoding library's own finders. The one for
// QR codes takes time with the third power of the patterns that it sees and
// cannot be stopped.
const (
	wholePixels  = 500_000 // of the picture, after enlarging
	wholeSide    = 2000    // pixels of the longer side
	wholeFinders = 60      // finder patterns on it
)

// readWhole hands the picture as it is to the decoding library's own finders of
// squares, several times over: enlarged or not, inverted or not, with local
// thresholds or one for all. They see one symbol at most. Bars are left out:
// the library takes the first row whose check symbol is right, which one
// misreading in a hundred passes.
func readWhole(ctx context.Context, g *grey, accept func(string) bool) []find {
	fits := func(zoom int) bool {
		return g.width*g.height*zoom*zoom <= wholePixels && max(g.width, g.height)*zoom <= wholeSide
	}
	if !fits(1) {
		return nil
	}
	readers := wholeReaders(ctx, g)
	binarizers := []func(gozxing.LuminanceSource) gozxing.Binarizer{gozxing.NewHybridBinarizer, gozxing.NewGlobalHistgramBinarizer}
	for zoom := 1; zoom <= 2 && fits(zoom); zoom++ {
		for _, inverted := range []bool{false, true} {
			source := newLuminance(g, zoom, inverted)
			for _, binarizer := range binarizers {
				for _, r := range readers {
					if ctx.Err() != nil {
						return nil
					}
					if text, ok := readBitmap(r.reader, binarizer(source)); ok && accept(text) {
						w, h := float64(g.width), float64(g.height)
						return []find{{text: text, symbol: r.symbol, corners: [4]point{{0, 0}, {w, 0}, {w, h}, {0, h}}}}
					}
				}
			}
		}
	}
	return nil
}

type wholeReader struct {
	symbol string
	reader gozxing.Reader
}

// wholeReaders leaves the reader of QR codes out when the picture would keep it
// busy for long.
func wholeReaders(ctx context.Context, g *grey) []wholeReader {
	readers := []wholeReader{{DataMatrix, datamatrix.NewDataMatrixReader()}}
	if len(finders(ctx, g, newThresholds(g))) <= wholeFinders {
		readers = append(readers, wholeReader{QR, qrcode.NewQRCodeReader()})
	}
	return readers
}

func readBitmap(reader gozxing.Reader, binarizer gozxing.Binarizer) (string, bool) {
	return careful(func() (string, error) {
		bitmap, err := gozxing.NewBinaryBitmap(binarizer)
		if err != nil {
			return "", err
		}
		result, err := reader.Decode(bitmap, nil)
		if err != nil {
			return "", err
		}
		return result.GetText(), nil
	})
}
