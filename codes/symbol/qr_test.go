package symbol

import (
	"encoding/hex"
	"iter"
	"math/rand/v2"
	"strings"
	"testing"

	boombuler "github.com/boombuler/barcode/qr"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/stretchr/testify/require"

	"graftslip/codes/internal/qrchart"
	"graftslip/testdata/long"
	"rsc.io/qr/coding"
)

// levels are the levels of QR with the names that others give them.
var levels = []struct {
	level     coding.Level
	name      string
	boombuler boombuler.ErrorCorrectionLevel
}{
	{coding.L, "L", boombuler.L}, {coding.M, "M", boombuler.M}, {coding.Q, "Q", boombuler.Q}, {coding.H, "H", boombuler.H},
}

// versions are all 40 of QR. The short form takes every one up to 14, and of the larger
// ones, of which most of the time is, every fifth.
func versions() iter.Seq[coding.Version] {
	return func(yield func(coding.Version) bool) {
		for version := coding.Version(1); version <= 40; version++ {
			if (version <= 14 || version%5 == 0 || long.Form()) && !yield(version) {
				return
			}
		}
	}
}

// qrMode is a way to write a text.
type qrMode uint8

const (
	numericMode qrMode = iota
	alphanumericMode
	byteMode
	unicodeMode
)

// of returns a text in this mode.
func (m qrMode) of(text string) coding.Encoding {
	return [...]coding.Encoding{coding.Num(text), coding.Alpha(text), coding.String(text), utf8Text{coding.String(text)}}[m]
}

// textIn returns a text of so many bytes that goes into a mode.
func textIn(random *rand.Rand, mode qrMode, length int) string {
	text := make([]byte, 0, length)
	for len(text) < length {
		switch mode {
		case numericMode:
			text = append(text, digits[random.IntN(len(digits))])
		case alphanumericMode:
			text = append(text, alphanumeric[random.IntN(len(alphanumeric))])
		case byteMode:
			text = append(text, byte(' '+random.IntN(95)))
		case unicodeMode:
			if len(text) == length-1 {
				text = append(text, 'z')
			} else {
				text = append(text, string(rune(0x80+random.IntN(0x780)))...)
			}
		}
	}
	return string(text)
}

var modes = []qrMode{numericMode, alphanumericMode, byteMode, unicodeMode}

// most returns the greatest length in bytes that a mode has room for.
func most(mode qrMode, version coding.Version, level coding.Level) int {
	text := strings.Repeat("7", 8000) // more than any symbol holds
	length := 0
	for mode.of(text[:length+1]).Bits(version) <= 8*version.DataBytes(level) {
		length++
	}
	return length
}

func TestQRWorkedExample(t *testing.T) {
	const source = `ISO/IEC 18004, annex I: "01234567" as version 1-M (memory)`
	codewords, _ := unmasked(t, new(qrEncoder).symbol(coding.Num("01234567"), 1, coding.M))
	require.Equal(t, "10200c566180ec11ec11ec11ec11ec11", hex.EncodeToString(codewords[:16]), source)
	require.Equal(t, "a524d4c1ed36c7872c55", hex.EncodeToString(codewords[16:]), source)
}

func TestQRCapacity(t *testing.T) {
	for _, test := range []struct {
		mode    qrMode
		version coding.Version
		most    [4]int // at levels L, M, Q and H
		source  string
	}{
		{numericMode, 1, [4]int{41, 34, 27, 17}, "ISO/IEC 18004, table 7 (seen)"},
		{alphanumericMode, 1, [4]int{25, 20, 16, 10}, "ISO/IEC 18004, table 7 (seen)"},
		{byteMode, 1, [4]int{17, 14, 11, 7}, "ISO/IEC 18004, table 7 (seen)"},
		{numericMode, 40, [4]int{7089, 5596, 3993, 3057}, "ISO/IEC 18004, table 7 (memory)"},
		{alphanumericMode, 40, [4]int{4296, 3391, 2420, 1852}, "ISO/IEC 18004, table 7 (memory)"},
		{byteMode, 40, [4]int{2953, 2331, 1663, 1273}, "ISO/IEC 18004, table 7 (memory)"},
		{unicodeMode, 40, [4]int{2952, 2330, 1662, 1272}, "computed: 12 bits less"},
	} {
		for i, level := range levels {
			require.Equal(t, test.most[i], most(test.mode, test.version, level.level), "version %d-%s: %s", test.version, level.name, test.source)
		}
	}
}

// Each version and level in each mode, with the longest text and a shorter one:
// an independent decoder reads it, and finds the level that was asked for.
func TestQREveryVersion(t *testing.T) {
	random := rand.New(rand.NewPCG(40, 4))
	var encoder qrEncoder
	count := 0
	for version := range versions() {
		for _, level := range levels {
			for _, mode := range modes {
				longest := most(mode, version, level.level)
				for _, length := range []int{longest, 1 + random.IntN(longest)} {
					text := textIn(random, mode, length)
					m := encoder.symbol(mode.of(text), version, level.level)
					require.NoError(t, verify(m, text), "version %d-%s", version, level.name)
					require.Equal(t, 17+4*int(version), m.Width())
					matrix, err := matrixOf(m)
					require.NoError(t, err)
					result, err := decoder.NewDecoder().DecodeWithoutHint(matrix)
					require.NoError(t, err, "version %d-%s %q", version, level.name, text)
					require.Equal(t, text, result.GetText(), "version %d-%s", version, level.name)
					require.Equal(t, level.name, result.GetECLevel())
					count++
				}
			}
		}
	}
	t.Logf("read %d symbols", count)
}

// Another encoder has the same codewords in the same modules, whichever masks
// the two chose, and needs no smaller symbol.
func TestQRCodewordsOfAnotherEncoder(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 4))
	theirModes := map[qrMode]boombuler.Encoding{numericMode: boombuler.Numeric, alphanumericMode: boombuler.AlphaNumeric, byteMode: boombuler.Unicode}
	var encoder qrEncoder
	sameMask, count := 0, 0
	for version := range versions() {
		for i := range 2 { // L and Q in even versions, M and H in odd ones
			level := levels[2*i+int(version)%2]
			mode := modes[(int(version)+i)%3]
			text := textIn(random, mode, most(mode, version, level.level)-random.IntN(2))
			picture, err := boombuler.Encode(text, level.boombuler, theirModes[mode])
			require.NoError(t, err)
			theirs, ours := taken(QR, picture), encoder.symbol(mode.of(text), version, level.level)
			require.Equal(t, ours.Width(), theirs.Width())
			theirWords, theirMask := unmasked(t, theirs)
			words, mask := unmasked(t, ours)
			require.Equal(t, theirWords, words, "version %d-%s", version, level.name)
			count++
			if mask == theirMask {
				sameMask++
				require.Equal(t, theirs, ours)
			}
		}
	}
	t.Logf("the same codewords in %d symbols, the same mask in %d", count, sameMask)
}

// unmasked returns the codewords of a symbol in the order in which they stand
// there, and its mask.
func unmasked(t *testing.T, m Modules) ([]byte, int) {
	t.Helper()
	chart := qrchart.New((m.width - 17) / 4)
	_, mask, err := readFormat(m, chart)
	require.NoError(t, err)
	codewords := make([]byte, chart.Codewords)
	require.NoError(t, unmask(chart, codewords, m, mask))
	return codewords, mask
}

// Any text up to the longest encodes, at the version and level that suit it
// best; one character more does not.
func TestQRRoom(t *testing.T) {
	random := rand.New(rand.NewPCG(43, 4))
	for _, mode := range modes {
		least := coding.M
		if mode == numericMode {
			least = coding.H
		}
		longest := most(mode, 40, least)
		for _, length := range []int{1, longest, 1 + random.IntN(longest), 1 + random.IntN(longest), 1 + random.IntN(300)} {
			text := textIn(random, mode, length)
			m := encoded(t, QR, text)
			version, level, err := sizeFor(mode.of(text))
			require.NoError(t, err)
			require.Equal(t, 17+4*int(version), m.Width())
			require.LessOrEqual(t, length, most(mode, version, level))
			if version > 1 {
				require.Greater(t, length, most(mode, version-1, least), "a smaller symbol has no room")
			}
			if level < coding.H {
				require.Greater(t, length, most(mode, version, level+1), "a higher level has no room")
			}
		}
		_, err := Encode(QR, textIn(random, mode, longest+1))
		require.ErrorIs(t, err, ErrText)
		require.ErrorContains(t, err, "the text is too long")
	}
}

func TestEncodingOf(t *testing.T) {
	for _, test := range []struct {
		text string
		mode qrMode
	}{
		{code, numericMode}, {"0", numericMode}, {"+12", alphanumericMode}, {"1 2", alphanumericMode}, {alphanumeric, alphanumericMode},
		{"a", byteMode}, {"1,2", byteMode}, {"\x00\x7f", byteMode}, {"é", unicodeMode}, {"1’", unicodeMode}, {"٣", unicodeMode},
	} {
		require.Equal(t, test.mode.of(test.text), encodingOf(test.text), test.text)
	}
}

// A symbol that the encoder has a plan for takes little memory: its modules, and
// the codewords and text of the reading back.
func TestQRAllocations(t *testing.T) {
	for _, text := range []string{code, strings.Repeat("7", 17), "26329-004-0017-63"} {
		encoded(t, QR, text) // makes the plan
		require.LessOrEqual(t, testing.AllocsPerRun(100, func() { _, _ = Encode(QR, text) }), 16.0, text)
	}
}
