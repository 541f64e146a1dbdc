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

// luminance is a grey picture as the decoding library takes it.
type luminance struct {
	gozxing.LuminanceSourceBase
	pix []byte
}

// newLuminance copies a picture, enlarged a whole number of times (smoothly) and
// inverted.
func newLuminance(g *pixels.Grey, zoom int, inverted bool) *luminance {
	l := &luminance{pix: make([]byte, g.Width*zoom*g.Height*zoom)}
	l.Width, l.Height = g.Width*zoom, g.Height*zoom
	for y := range l.Height {
		row := l.pix[y*l.Width:][:l.Width]
		for x := range row {
			row[x] = byte(g.At(pixels.Pt((float64(x)+0.5)/float64(zoom), (float64(y)+0.5)/float64(zoom))) + 0.5)
			if inverted {
				row[x] = 255 - row[x]
			}
		}
	}
	return l
}

func (l *luminance) GetRow(y int, row []byte) ([]byte, error) {
	if len(row) < l.Width {
		row = make([]byte, l.Width)
	}
	copy(row, l.pix[y*l.Width:][:l.Width])
	return row, nil
}

func (l *luminance) GetMatrix() []byte { return l.pix }

func (l *luminance) Invert() gozxing.LuminanceSource { return gozxing.LuminanceSourceInvert(l) }

func (l *luminance) String() string { return gozxing.LuminanceSourceString(l) }

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
						w, h := float64(g.Width), float64(g.Height)
						return []Find{{Text: text, Symbol: r.symbol, Corners: [4]pixels.Point{pixels.Pt(0, 0), pixels.Pt(w, 0), pixels.Pt(w, h), pixels.Pt(0, h)}}}
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
	if len(locate.Finders(ctx, g, pixels.NewThresholds(g))) <= wholeFinders {
		readers = append(readers, libraryReader{fit.QR, qrcode.NewQRCodeReader()})
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
