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
	for version := 1; version <= 40; version++ {
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
		m := new(qrEncoder).symbol(byteMode, version, level, text)
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

// packed returns the bytes of bits, which are written in groups.
func packed(groups string) []byte {
	bits := strings.ReplaceAll(groups, " ", "")
	data := make([]byte, (len(bits)+7)/8)
	for i, c := range bits {
		if c == '1' {
			data[i/8] |= 0x80 >> (i % 8)
		}
	}
	return data
}

func TestReadSegments(t *testing.T) {
	for _, test := range []struct {
		bits   string
		text   string
		err    error
		reason string
	}{
		{"0001 0000000011 0000001100 0000 0000 11101100", "012", nil, "three digits, the end, padding"},
		{"0001 0000000011 0000001100 0000 0000 11101100 00010001 11101100", "012", nil, "the pads in turn"},
		{"0001 0000000010 0001100 000", "12", nil, "two digits; less than a whole end is left"},
		{"0001 0000000001 1001 0000 00", "9", nil, "one digit"},
		{"0010 000000010 00111001101 0000 0000", "AB", nil, "two of the 45; 10·45+11 = 461"},
		{"0010 000000001 101100 0000 0", ":", nil, "one of the 45"},
		{"0100 00000001 01100001 0000", "a", nil, "a byte"},
		{"0111 00011010 0100 00000010 11000011 10101001 0000", "é", nil, "UTF-8, and said so"},
		{"0001 0000000001 1001 0010 000000001 001010 0000 0", "9A", nil, "two segments"},
		{"0000 0000 11101100", "", nil, "no text"},

		{"0001 0000000011 0000001100 0000 0000 11101101", "", errPadding, "a wrong pad"},
		{"0001 0000000011 0000001100 0000 0000 00010001", "", errPadding, "the pads in the wrong order"},
		{"0001 0000000011 0000001100 0000 0001 11101100", "", errPadding, "a bit that is not 0 before the pads"},
		{"0001 0000000010 0001100 001", "", errPadding, "a bit that is not 0 in a short end"},
		{"0001 0000000011 1111101000 0000 00", "", errSegment, "three digits make 1000"},
		{"0001 0000000010 1100100 0000 00", "", errSegment, "two digits make 100"},
		{"0001 0000000001 1010 0000 00", "", errSegment, "one digit makes 10"},
		{"0001 0000000111 0000001100 0000 00", "", errSegment, "more digits said than there"},
		{"0001 0000", "", errSegment, "no number of digits"},
		{"0010 000000010 11111101001 0000 0000", "", errSegment, "two of the 45 make 2025"},
		{"0010 000000001 101101 0000 0", "", errSegment, "one of the 45 makes 45"},
		{"0100 00000010 11000011 10101001 0000", "", errSegment, "beyond ASCII, but not said to be UTF-8"},
		{"0100 00000011 01100001 0000", "", errSegment, "more bytes said than there"},
		{"0111 00000011 0100 00000001 01100001 0000", "", errSegment, "said to be ISO 8859-1"},
		{"1000 00000001 0000000000000 0000 000", "", errMode, "kanji"},
		{"0011 0000 0001 00000000 0000", "", errMode, "a part of several symbols"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			text, err := readSegments(packed(test.bits), 1)
			require.Equal(t, test.err, err)
			require.Equal(t, test.text, text)
		})
	}
}

// FuzzReadSegments: whatever the data, the reader does not panic, and where it
// reads a text, what it read goes back into data that reads the same.
func FuzzReadSegments(f *testing.F) {
	for _, mode := range modes {
		data := make([]byte, 30)
		mode.write(data, 3, map[qrMode]string{numericMode: code, alphanumericMode: "26329-004", byteMode: "bench 2", unicodeMode: "Käthe"}[mode])
		f.Add(data, uint8(3))
	}
	f.Add([]byte{}, uint8(1))
	f.Add([]byte{0x71, 0xa4, 0xff}, uint8(27))
	f.Fuzz(func(t *testing.T, data []byte, version uint8) {
		if len(data) > 3000 {
			t.Skip("no symbol holds so much")
		}
		size := 1 + int(version)%40
		text, err := readSegments(data, size)
		if err != nil || text == "" {
			return
		}
		mode := modeOf(text)
		if len(text) >= 1<<mode.countBits(coding.Version(size)) {
			return // several segments, together longer than one can be
		}
		again := make([]byte, 8+len(text))
		mode.write(again, coding.Version(size), text)
		read, err := readSegments(again, size)
		require.NoError(t, err)
		require.Equal(t, text, read)
	})
}
