package symbol

import (
	"strings"
	"sync"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/oned"
	qr "github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/stretchr/testify/require"
)

// The sides of QR symbols at the published limits of each version: the last
// text that fits, and one character more.
func TestQRSize(t *testing.T) {
	const source = "ISO/IEC 18004, capacities (seen)"
	side := func(version int) int { return 17 + 4*version }
	for _, test := range []struct {
		text    string
		version int
		level   string
		reason  string
	}{
		{code, 1, "H", "a code"},
		{"012", 1, "H", "leading zeros"},
		{strings.Repeat("7", 17), 1, "H", "the most digits of version 1"},
		{strings.Repeat("7", 18), 2, "H", "one more"},
		{strings.Repeat("7", 34), 2, "H", "the most digits of version 2"},
		{strings.Repeat("7", 35), 3, "H", "one more"},
		{strings.Repeat("7", 58), 3, "H", "the most digits of version 3"},
		{strings.Repeat("7", 59), 4, "H", "one more"},

		{strings.Repeat("A", 10), 1, "H", "the most capitals of version 1 at level H"},
		{strings.Repeat("A", 11), 1, "Q", "one more"},
		{strings.Repeat("A", 16), 1, "Q", "the most at level Q"},
		{strings.Repeat("A", 17), 1, "M", "one more"},
		{strings.Repeat("A", 20), 1, "M", "the most at level M"},
		{strings.Repeat("A", 21), 2, "Q", "one more; version 2 holds 29 at level Q and 20 at H"},
		{"26329-004-0017-63", 1, "M", "17 characters with hyphens"},
		{"+12", 1, "H", "a sign is no digit"},

		{strings.Repeat("a", 7), 1, "H", "the most bytes of version 1 at level H"},
		{strings.Repeat("a", 8), 1, "Q", "one more"},
		{strings.Repeat("a", 11), 1, "Q", "the most at level Q"},
		{strings.Repeat("a", 12), 1, "M", "one more"},
		{strings.Repeat("a", 14), 1, "M", "the most at level M"},
		{strings.Repeat("a", 14) + "b", 2, "Q", "one more; version 2 holds 20 at level Q and 14 at H"},
		// computed: two bytes each, and 12 bits to say that it is UTF-8
		{strings.Repeat("é", 3), 1, "H", "six bytes and the header, the most of level H"},
		{strings.Repeat("é", 4), 1, "Q", "one more"},
		{strings.Repeat("é", 5), 1, "Q", "the most of level Q"},
		{strings.Repeat("é", 6), 1, "M", "the most of level M that are whole characters"},
		{strings.Repeat("é", 7), 2, "Q", "one more"},
	} {
		t.Run(test.reason+" "+test.text, func(t *testing.T) {
			m := encoded(t, QR, test.text)
			require.Equal(t, side(test.version), m.Width(), source)
			require.Equal(t, side(test.version), m.Height(), source)

			matrix, err := matrixOf(m)
			require.NoError(t, err)
			result, err := qr.NewDecoder().DecodeWithoutHint(matrix)
			require.NoError(t, err)
			require.Equal(t, test.level, result.GetECLevel())
		})
	}
}

// The mode stands in the first four bits (ISO/IEC 18004: 0001 numeric, 0010
// alphanumeric, 0100 bytes, 0111 the header that says UTF-8; memory).
func TestQRMode(t *testing.T) {
	for _, test := range []struct {
		text string
		mode byte
	}{
		{code, 1}, {"012", 1}, {"+12", 2}, {"-12", 2}, {"1 2", 2}, {"1,2", 4}, {"a", 4}, {"٣", 7}, {"a’", 7},
	} {
		matrix, err := matrixOf(encoded(t, QR, test.text))
		require.NoError(t, err)
		result, err := qr.NewDecoder().DecodeWithoutHint(matrix)
		require.NoError(t, err)
		require.Equal(t, test.mode, result.GetRawBytes()[0]>>4, test.text)
	}
}

func TestDataMatrixSize(t *testing.T) {
	const source = "ISO/IEC 16022, digits held by the square symbols (seen)"
	for _, test := range []struct{ count, side int }{
		{1, 10}, {6, 10}, {7, 12}, {10, 12}, {11, 14}, {14, 14}, {16, 14}, {17, 16}, {24, 16}, {25, 18}, {36, 18}, {37, 20},
	} {
		m := encoded(t, DataMatrix, strings.Repeat("7", test.count))
		require.Equal(t, test.side, m.Width(), "%d digits: %s", test.count, source)
		require.Equal(t, test.side, m.Height(), "%d digits: %s", test.count, source)
	}
}

// rawCode128 returns the symbol characters of a Code 128, start and check
// character included, as an independent decoder reads them.
func rawCode128(t testing.TB, m Modules) []byte {
	t.Helper()
	quiet, _ := m.Quiet()
	row := gozxing.NewBitArray(m.Width() + 2*quiet)
	for x := range m.Width() {
		if m.Dark(x, 0) {
			row.Set(quiet + x)
		}
	}
	result, err := oned.NewCode128Reader().(oned.RowDecoder).DecodeRow(0, row, nil)
	require.NoError(t, err)
	raw := result.GetRawBytes()
	require.Equal(t, byte(106), raw[len(raw)-1], "the stop character")
	return raw[:len(raw)-1]
}

// checkSymbol works out the check character of a start character and those
// behind it: the start counts once, each of the others as often as its place.
func checkSymbol(characters []byte) byte {
	sum := int(characters[0])
	for i, c := range characters[1:] {
		sum += (i + 1) * int(c)
	}
	return byte(sum % 103)
}

func TestCode128CheckSymbol(t *testing.T) {
	const (
		source = "worked examples on public pages about Code 128, not the standard (secondary)"
		startA = 103
		startB = 104
		startC = 105
		codeC  = 99
	)
	value := func(c byte) byte { return c - ' ' } // of a character in sets A and B

	hi := []byte{value('H'), value('I'), codeC, 34, 56, 78}
	require.Equal(t, byte(67), checkSymbol(append([]byte{startA}, hi...)), source)
	pjj := []byte{value('P'), value('J'), value('J'), value('1'), value('2'), value('3'), value('C')}
	require.Equal(t, byte(54), checkSymbol(append([]byte{startA}, pjj...)), source)
	require.Equal(t, byte(55), checkSymbol(append([]byte{startB}, pjj...)), source)

	require.Equal(t, append(append([]byte{startB}, pjj...), 55), rawCode128(t, encoded(t, Code128, "PJJ123C")), source)

	for _, test := range []struct {
		text  string
		start byte
		count int // symbol characters behind the start and before the check
	}{
		{code, startC, 7},
		{"00000000000098", startC, 7},
		{"HI345678", startB, 6},
		{"263290040017631", startC, 9}, // 14 digits, a change of set, the last digit
		{"\x02" + code, startA, 9},
	} {
		raw := rawCode128(t, encoded(t, Code128, test.text))
		last := len(raw) - 1
		require.Equal(t, test.start, raw[0], test.text)
		require.Len(t, raw[1:last], test.count, test.text)
		require.Equal(t, checkSymbol(raw[:last]), raw[last], test.text)
	}
}

func TestCode128Size(t *testing.T) {
	const source = "ISO/IEC 15417, by way of public pages: 11 modules a symbol character, 13 for the stop (secondary)"
	for _, test := range []struct {
		text       string
		characters int // start and check included, stop not
		reason     string
	}{
		{code, 9, "fourteen digits in set C, 112 modules"},
		{"PJJ123C", 9, "seven characters in set B"},
		{"1234", 4, "two pairs"},
		{"A", 3, "one character"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			m := encoded(t, Code128, test.text)
			require.Equal(t, 11*test.characters+13, m.Width(), source)
			require.Equal(t, 1, m.Height())
			require.True(t, m.Dark(0, 0))
			require.True(t, m.Dark(m.Width()-1, 0))
		})
	}
	require.Equal(t, 112, encoded(t, Code128, code).Width())
}

func TestEncodeRefuses(t *testing.T) {
	for _, test := range []struct {
		kind   Kind
		text   string
		reason string
	}{
		{QR, "", "the text is empty"},
		{DataMatrix, "", "the text is empty"},
		{Code128, "", "the text is empty"},
		{QR, "a\xffb", "the text is not UTF-8"},
		{DataMatrix, "\xe8" + "01", "the text is not UTF-8"},
		{DataMatrix, "Käthe", "it takes ASCII characters only"},
		{Code128, "ñ1234", "it takes ASCII characters only"}, // stands for a function character in the encoder
		{Code128, "½", "it takes ASCII characters only"},
		{Code128, strings.Repeat("7", 81), "the text is too long"},
		{QR, strings.Repeat("7", 4000), "the text is too long"},
		{QR, strings.Repeat("A", 4000), "the text is too long"},
		{QR, strings.Repeat("a", 4000), "the text is too long"},
		{DataMatrix, strings.Repeat("7", 4000), "the text is too long"},
	} {
		t.Run(test.kind.String()+" "+test.reason, func(t *testing.T) {
			_, err := Encode(test.kind, test.text)
			require.ErrorIs(t, err, ErrText)
			require.ErrorContains(t, err, test.kind.String()+" cannot hold "+quoted(test.text)+": "+test.reason)
			require.Less(t, len(err.Error()), 200, "a long text is not told in full")
			require.NotEmpty(t, err.(interface{ Hint() string }).Hint())
		})
	}
	_, err := Encode(0, code)
	require.ErrorContains(t, err, "no kind of symbol")
	_, err = Encode(Code128+1, code)
	require.ErrorContains(t, err, "no kind of symbol")
}

// Symbols are made of many texts at once.
func TestEncodeAtOnce(t *testing.T) {
	var group sync.WaitGroup
	failures := make(chan error, 60)
	for i := range 60 {
		group.Go(func() {
			_, err := Encode(kinds()[i%3], code[i%14:]+code[:i%14])
			failures <- err
		})
	}
	group.Wait()
	for range 60 {
		require.NoError(t, <-failures)
	}
}
