package symbol

import (
	"math/rand/v2"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	dmencoder "github.com/makiuchi-d/gozxing/datamatrix/encoder"
	"github.com/makiuchi-d/gozxing/oned"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"
)

// randomDigits returns distinct texts of so many digits, the same ones for the
// same seed.
func randomDigits(count, length int, seed uint64) []string {
	random := rand.New(rand.NewPCG(seed, 14))
	texts := make([]string, 0, count)
	seen := map[string]bool{}
	for len(texts) < count {
		text := make([]byte, length)
		for i := range text {
			text[i] = '0' + byte(random.IntN(10))
		}
		if !seen[string(text)] {
			seen[string(text)] = true
			texts = append(texts, string(text))
		}
	}
	return texts
}

// sameModules reports whether m and the picture of another encoder, which has
// a margin of light modules or none, are the same modules.
func sameModules(m Modules, matrix *gozxing.BitMatrix, margin int) bool {
	if matrix.GetWidth() != m.Width()+2*margin {
		return false
	}
	for y := range m.Height() {
		for x := range m.Width() {
			if m.Dark(x, y) != matrix.Get(x+margin, y) {
				return false
			}
		}
	}
	return true
}

// The decoders correct errors, so reading back cannot show that a symbol has
// none. Another encoder can: it draws the same modules, error correction
// included. It may prefer another of QR's eight masks; one of them must be
// ours.
func TestAnotherEncoderDrawsTheSame(t *testing.T) {
	type hints = map[gozxing.EncodeHintType]any
	texts := append(randomDigits(40, 14, 6), code, "00000000000098", "99365999999998")
	for _, text := range texts {
		m := encoded(t, QR, text)
		same := 0
		for mask := range 8 {
			matrix, err := qrcode.NewQRCodeWriter().Encode(text, gozxing.BarcodeFormat_QR_CODE, 0, 0, hints{
				gozxing.EncodeHintType_ERROR_CORRECTION: "H",
				gozxing.EncodeHintType_MARGIN:           0,
				gozxing.EncodeHintType_QR_MASK_PATTERN:  mask,
			})
			require.NoError(t, err)
			if sameModules(m, matrix, 0) {
				same++
			}
		}
		require.Equal(t, 1, same, "qr %s", text)

		matrix, err := datamatrix.NewDataMatrixWriter().Encode(text, gozxing.BarcodeFormat_DATA_MATRIX, 0, 0, hints{
			gozxing.EncodeHintType_DATA_MATRIX_SHAPE: dmencoder.SymbolShapeHint_FORCE_SQUARE,
		})
		require.NoError(t, err)
		require.True(t, sameModules(encoded(t, DataMatrix, text), matrix, 0), "datamatrix %s", text)

		matrix, err = oned.NewCode128Writer().Encode(text, gozxing.BarcodeFormat_CODE_128, 0, 0, hints{
			gozxing.EncodeHintType_MARGIN: 0,
		})
		require.NoError(t, err)
		require.True(t, sameModules(encoded(t, Code128, text), matrix, 0), "code128 %s", text)
	}
	t.Logf("module for module the same: %d texts in 3 kinds of symbol", len(texts))
}
