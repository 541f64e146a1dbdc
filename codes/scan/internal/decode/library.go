package decode

import (
	"context"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/qrcode"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

// Limits of what is handed to the decoding library's own finders. The one for
// QR codes takes time with the third power of the patterns that it sees and
// cannot be stopped.
const (
	wholePixels  = 500_000 // of the picture, after enlarging
	wholeSide    = 2000    // pixels of the longer side
	wholeFinders = 60      // finder patterns on it
)

// ByLibrary hands the picture as it is to the decoding library's own finders of
// squares, several times over: enlarged or not, inverted or not, with local
// thresholds or one for all. They see one symbol at most. Bars are left out:
// the library takes the first row whose check symbol is right, which one
// misreading in a hundred passes.
func ByLibrary(ctx context.Context, g *pixels.Grey, accept func(string) bool) []Find {
	fits := func(zoom int) bool {
		return g.Width*g.Height*zoom*zoom <= wholePixels && max(g.Width, g.Height)*zoom <= wholeSide
	}
	if !fits(1) {
		return nil
	}
	readers := libraryReaders(ctx, g)
	binarizers := []func(gozxing.LuminanceSource) gozxing.Binarizer{
		gozxing.NewHybridBinarizer, gozxing.NewGlobalHistgramBinarizer}
	large := g
	for zoom := 1; zoom <= 2 && fits(zoom); zoom++ {
		if zoom == 2 {
			large = g.Twice()
		}
		source := gozxing.NewLuminanceSourceFromImage(large.Image())
		for _, source := range []gozxing.LuminanceSource{source, source.Invert()} {
			for _, binarizer := range binarizers {
				for _, r := range readers {
					if ctx.Err() != nil {
						return nil
					}
					if text, ok := readBitmap(r.reader, binarizer(source)); ok && accept(text) {
						w, h := float64(g.Width), float64(g.Height)
						corners := [4]pixels.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
						return []Find{{Text: text, Symbol: r.symbol, Corners: corners}}
					}
				}
			}
		}
	}
	return nil
}

type libraryReader struct {
	symbol string
	reader gozxing.Reader
}

// libraryReaders leaves the reader of QR codes out when the picture would keep it
// busy for long.
func libraryReaders(ctx context.Context, g *pixels.Grey) []libraryReader {
	readers := []libraryReader{{fit.DataMatrix, datamatrix.NewDataMatrixReader()}}
	level := pixels.NewLevel(g, 1)
	if len(locate.Finders(ctx, &level)) <= wholeFinders {
		readers = append(readers, libraryReader{fit.QR, qrcode.NewQRCodeReader()})
	}
	return readers
}

func readBitmap(reader gozxing.Reader, binarizer gozxing.Binarizer) (string, bool) {
	return careful(func() (*gozxing.Result, error) {
		bitmap, err := gozxing.NewBinaryBitmap(binarizer)
		if err != nil {
			return nil, err
		}
		return reader.Decode(bitmap, nil)
	})
}
