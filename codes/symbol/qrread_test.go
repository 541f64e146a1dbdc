package symbol

import (
	"image"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/stretchr/testify/require"

	"graftslip/codes/internal/qrchart"
	"rsc.io/qr/coding"
)

// The reader's tables and the encoder's, which are of two libraries, agree.
func TestReaderTables(t *testing.T) {
	for version := 1; version <= 40; version++ {
		codewords := qrchart.New(version).Codewords
		for ours, level := range map[decoder.ErrorCorrectionLevel]coding.Level{
			decoder.ErrorCorrectionLevel_L: coding.L, decoder.ErrorCorrectionLevel_M: coding.M,
			decoder.ErrorCorrectionLevel_Q: coding.Q, decoder.ErrorCorrectionLevel_H: coding.H,
		} {
			plan, err := coding.NewPlan(coding.Version(version), level, 0)
			require.NoError(t, err)
			blocks, checks := qrchart.Blocks(version, ours)
			require.Equal(t, plan.Blocks, blocks, "version %d-%s", version, level)
			require.Equal(t, plan.CheckBytes, blocks*checks, "version %d-%s", version, level)
			require.Equal(t, plan.DataBytes+plan.CheckBytes, codewords, "version %d-%s", version, level)
		}
	}
}

func TestFormatWord(t *testing.T) {
	word := qrchart.FormatWord(0b00101)
	require.Equal(t, 0b100000011001110, word, "ISO/IEC 18004, 7.9.1: level M, mask 5 (memory)")
	format, ok := qrchart.FormatOf(word)
	require.True(t, ok)
	require.Equal(t, 0b00101, format)
	_, ok = qrchart.FormatOf(word ^ 1)
	require.False(t, ok, "a bit is wrong")
}

// Another encoder draws every version under every mask, and up to version 20 at
// every level with each; the reader reads what that one encoded.
func TestReaderReadsAnotherEncoder(t *testing.T) {
	random := rand.New(rand.NewPCG(46, 4))
	count := 0
	for v := range versions() {
		version := int(v)
		for i, level := range levels {
			for mask := range 8 {
				if version > 20 && mask%4 != i {
					continue
				}
				mode := modes[random.IntN(3)]
				longest := most(mode, coding.Version(version), level.level)
				text := textIn(random, mode, 1+random.IntN(longest))
				if mask == i {
					text = textIn(random, mode, longest)
				}
				matrix, err := qrcode.NewQRCodeWriter().Encode(text, gozxing.BarcodeFormat_QR_CODE, 0, 0, map[gozxing.EncodeHintType]any{
					gozxing.EncodeHintType_ERROR_CORRECTION: level.name,
					gozxing.EncodeHintType_MARGIN:           0,
					gozxing.EncodeHintType_QR_MASK_PATTERN:  mask,
					gozxing.EncodeHintType_QR_VERSION:       version,
				})
				require.NoError(t, err)
				m := Modules{kind: QR, width: matrix.GetWidth(), height: matrix.GetHeight()}
				require.Equal(t, 17+4*version, m.width)
				for y := range m.height {
					for x := range m.width {
						m.dark = append(m.dark, matrix.Get(x, y))
					}
				}
				read, err := qrProofs.read(m)
				require.NoError(t, err, "version %d-%s, mask %d", version, level.name, mask)
				require.Equal(t, text, read)
				count++
			}
		}
	}
	t.Logf("read %d symbols of another encoder", count)
}

// Nothing is restored: a symbol with any one module changed is refused, though
// another reader restores it; so is one with more of them changed.
func TestReaderRefusesChangedModules(t *testing.T) {
	random := rand.New(rand.NewPCG(47, 4))
	restored, refused := 0, 0
	for version := coding.Version(1); version <= 40; version++ {
		level := levels[int(version)%4].level
		text := textIn(random, byteMode, most(byteMode, version, level))
		m := new(qrEncoder).symbol(coding.String(text), version, level)
		places := random.Perm(len(m.dark))
		if version != 1 && version != 2 && version != 7 && version != 14 {
			places = places[:100]
		}
		for i, at := range places {
			m.dark[at] = !m.dark[at]
			_, err := qrProofs.read(m)
			require.Error(t, err, "version %d, module %d", version, at)
			if i < 5 {
				matrix, err := matrixOf(m)
				require.NoError(t, err)
				if result, err := decoder.NewDecoder().DecodeWithoutHint(matrix); err == nil && result.GetText() == text {
					restored++
				}
			}
			refused++
			m.dark[at] = !m.dark[at]
		}
		for count := 2; count < 200; count += 10 {
			damaged := m
			damaged.dark = append([]bool(nil), m.dark...)
			for _, at := range random.Perm(len(m.dark))[:count] {
				damaged.dark[at] = !damaged.dark[at]
			}
			_, err := qrProofs.read(damaged)
			require.Error(t, err, "version %d, %d modules", version, count)
			refused++
		}
		require.NoError(t, verify(m, text), "the symbol is as it was")
	}
	t.Logf("damaged symbols: refused %d; of 200 with one wrong module another reader restored %d", refused, restored)
	require.Greater(t, restored, 150)
}

// Why a symbol is refused.
func TestReaderReasons(t *testing.T) {
	m := encoded(t, QR, code)
	seven := encoded(t, QR, strings.Repeat("7", 200))
	require.Equal(t, 17+4*8, seven.Width(), "large enough for version information")
	for _, test := range []struct {
		m      Modules
		want   error
		reason string
	}{
		{Modules{kind: QR}, errShape, "no modules"},
		{cropped(m), errShape, "not square"},
		{moved(m, 22, 22, func(x, y int) (int, int) { return x, y }), errShape, "no size of QR"},
		{moved(m, 17, 17, func(x, y int) (int, int) { return x, y }), errShape, "smaller than version 1"},
		{moved(m, 181, 181, func(x, y int) (int, int) { return x, y }), errShape, "larger than version 40"},
		{emptied(m), errFunction, "nothing dark"},
		{mirrored(m), errFormat, "mirrored: its bits run the other way"},
		{flipped(m, image.Rect(3, 3, 4, 4)), errFunction, "the middle of a finder pattern"},
		{flipped(m, image.Rect(7, 0, 8, 1)), errFunction, "a separator"},
		{flipped(m, image.Rect(10, 6, 11, 7)), errFunction, "the timing pattern"},
		{flipped(seven, image.Rect(0, 38, 1, 39)), errFunction, "version information"},
		{flipped(seven, image.Rect(24, 24, 25, 25)), errFunction, "an alignment pattern"},
		{flipped(m, image.Rect(0, 8, 1, 9)), errFormat, "one copy of the format"},
		{flipped(m, image.Rect(20, 8, 21, 9)), errFormat, "the other copy of the format"},
		{flipped(m, image.Rect(20, 20, 21, 21)), errCodeword, "the first codeword"},
		{flipped(m, image.Rect(0, 9, 1, 10)), errCodeword, "the last codeword"},
	} {
		text, err := qrProofs.read(test.m)
		require.Equal(t, test.want, err, test.reason)
		require.Empty(t, text)
	}
	two := encoded(t, QR, strings.Repeat("7", 18))
	left := qrchart.New(2).Modules[44*8:]
	require.Len(t, left, 7, "ISO/IEC 18004, table 1: seven modules are left over in version 2 (memory)")
	for _, module := range left {
		x, y := int(module.At)%two.width, int(module.At)/two.width
		_, err := qrProofs.read(flipped(two, image.Rect(x, y, x+1, y+1)))
		require.Equal(t, errLeftOver, err)
	}
}

// A reader has to guess at bytes beyond ASCII that nothing says to be UTF-8.
func TestReaderRefusesUnsaidUTF8(t *testing.T) {
	m := new(qrEncoder).symbol(coding.String("Käthe"), 2, coding.M)
	require.ErrorIs(t, verify(m, "Käthe"), ErrReadBack)
}
