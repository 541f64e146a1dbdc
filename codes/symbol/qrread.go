package symbol

import (
	"errors"
	"sync/atomic"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"

	"graftslip/codes/internal/qrchart"
)

// qrReader reads QR symbols that have no fault: every module has to be as it
// must, the function patterns, both copies of the format information, each
// codeword and the bits that are left over. It restores nothing, and it shares
// neither code nor tables with qrEncoder. The zero qrReader is ready for use, by
// many goroutines at once.
type qrReader struct {
	charts [41]atomic.Pointer[qrchart.Chart] // by version
	powers atomic.Pointer[qrPowers]
}

// qrProofs reads the symbols of Encode. It remembers charts and nothing of the
// symbols.
var qrProofs qrReader

// Why a symbol is refused.
var (
	errShape    = errors.New("the symbol is not square or has no size of QR")
	errFunction = errors.New("a module of a function pattern is wrong")
	errFormat   = errors.New("a module of the format information is wrong")
	errCodeword = errors.New("a codeword is wrong")
	errLeftOver = errors.New("a module that is left over is wrong")
)

// read returns the text of a symbol.
func (r *qrReader) read(m Modules) (string, error) {
	version := (m.width - 17) / 4
	if m.width != m.height || version < 1 || version > 40 || m.width != 17+4*version {
		return "", errShape
	}
	chart := r.chart(version)
	for _, fixed := range chart.Fixed {
		if m.dark[fixed.At] != fixed.Dark {
			return "", errFunction
		}
	}
	level, mask, err := readFormat(m, chart)
	if err != nil {
		return "", err
	}
	codewords := make([]byte, chart.Codewords)
	if err := unmask(chart, codewords, m, mask); err != nil {
		return "", err
	}
	data, err := r.checked(codewords, version, level)
	if err != nil {
		return "", err
	}
	table, err := decoder.Version_GetVersionForNumber(version)
	if err != nil {
		return "", err
	}
	// Bytes beyond ASCII that are not said to be UTF-8 do not read as the text.
	hints := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_CHARACTER_SET: "ISO-8859-1"}
	result, err := decoder.DecodedBitStreamParser_Decode(data, table, level, hints)
	if err != nil {
		return "", err
	}
	return result.GetText(), nil
}

// chart returns the chart of a version. Two goroutines that are the first to
// ask for it may each make one; they make the same.
func (r *qrReader) chart(version int) *qrchart.Chart {
	chart := r.charts[version].Load()
	if chart == nil {
		chart = qrchart.New(version)
		r.charts[version].Store(chart)
	}
	return chart
}

// readFormat returns level and mask of a symbol. Both copies have to be right.
func readFormat(m Modules, chart *qrchart.Chart) (level decoder.ErrorCorrectionLevel, mask int, err error) {
	var words [2]int
	for copy, places := range chart.Format {
		for _, place := range places {
			words[copy] <<= 1
			if m.dark[place] {
				words[copy] |= 1
			}
		}
	}
	format, ok := qrchart.FormatOf(words[0])
	if !ok || words[0] != words[1] {
		return 0, 0, errFormat
	}
	return decoder.ErrorCorrectionLevel(format >> 3), format & 7, nil
}

// unmask takes the codewords from a symbol, in the order in which they stand
// there.
func unmask(c *qrchart.Chart, codewords []byte, m Modules, mask int) error {
	for i := range codewords {
		value := byte(0)
		for _, module := range c.Modules[8*i : 8*i+8] {
			value = value<<1 | module.Masks>>mask&1
			if m.dark[module.At] {
				value ^= 1
			}
		}
		codewords[i] = value
	}
	for _, module := range c.Modules[8*len(codewords):] {
		if m.dark[module.At] != (module.Masks>>mask&1 == 1) {
			return errLeftOver
		}
	}
	return nil
}

// checked returns the data among the codewords of a symbol, in the order of
// the blocks, if every block divides by its polynomial.
func (r *qrReader) checked(codewords []byte, version int, level decoder.ErrorCorrectionLevel) ([]byte, error) {
	powers := r.powers.Load()
	if powers == nil {
		powers = newPowers()
		r.powers.Store(powers)
	}
	blocks, check := qrchart.Blocks(version, level)
	all := len(codewords) - blocks*check
	data := make([]byte, 0, all)
	short, long := all/blocks, all%blocks // the last blocks are longer by one
	for block := range blocks {
		var remainders [30]byte // of the block, at each root of the polynomial
		take := func(codeword byte) {
			for i := range check {
				remainders[i] = powers[i][remainders[i]] ^ codeword
			}
		}
		for i := range short {
			data = append(data, codewords[i*blocks+block])
			take(data[len(data)-1])
		}
		if late := block - (blocks - long); late >= 0 {
			data = append(data, codewords[short*blocks+late])
			take(data[len(data)-1])
		}
		for i := range check {
			take(codewords[all+i*blocks+block])
		}
		if remainders != [30]byte{} {
			return nil, errCodeword
		}
	}
	return data, nil
}

// qrPowers has the products of each byte and the first 30 powers of 2, in the
// field of ISO/IEC 18004 (x⁸+x⁴+x³+x²+1, 7.5.2; memory).
type qrPowers [30][256]byte

func newPowers() *qrPowers {
	p := new(qrPowers)
	for value := range 256 {
		product := value
		for i := range p {
			p[i][value] = byte(product)
			product <<= 1
			if product >= 0x100 {
				product ^= 0x11d
			}
		}
	}
	return p
}
