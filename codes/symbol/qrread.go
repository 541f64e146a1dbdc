package symbol

import (
	"errors"
	"sync/atomic"

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
	errMode     = errors.New("the text is in a mode that is not read")
	errSegment  = errors.New("the text breaks off or has a character that does not exist")
	errPadding  = errors.New("what stands behind the text is wrong")
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
	var few [404]byte // of version 11
	codewords := few[:]
	if chart.Codewords > len(few) {
		codewords = make([]byte, chart.Codewords)
	}
	codewords = codewords[:chart.Codewords]
	if err := unmask(chart, codewords, m, mask); err != nil {
		return "", err
	}
	data, err := r.checked(codewords, version, level)
	if err != nil {
		return "", err
	}
	return readSegments(data, version)
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

// bitReader takes numbers from bytes, the highest bit first.
type bitReader struct {
	data []byte
	next int // bit
}

// left returns how many bits are left.
func (r *bitReader) left() int { return 8*len(r.data) - r.next }

// take returns the next so many bits; false if there are not so many.
func (r *bitReader) take(count int) (value int, ok bool) {
	if count > r.left() {
		return 0, false
	}
	for end := r.next + count; r.next < end; {
		room := 8 - r.next%8 // bits that are left of this byte
		taken := min(room, end-r.next)
		bits := int(r.data[r.next/8]) >> (room - taken) & (1<<taken - 1)
		value = value<<taken | bits
		r.next += taken
	}
	return value, true
}

// Indicators of a segment (ISO/IEC 18004, table 2; memory).
const (
	endOfText     = 0b0000
	segmentDigits = 0b0001
	segmentPairs  = 0b0010
	segmentBytes  = 0b0100
	segmentECI    = 0b0111
	eciUTF8       = 26
)

// readSegments returns the text of the data of a symbol. Bytes beyond ASCII are
// read where a segment before them says that they are UTF-8, and padding has to
// be as the standard has it (7.4.9 and 7.4.10; memory).
func readSegments(data []byte, version int) (string, error) {
	r := bitReader{data: data}
	text := make([]byte, 0, 3*len(data)) // three digits in ten bits are the densest
	class := 0
	if version > 9 {
		class = 1
	}
	if version > 26 {
		class = 2
	}
	utf8 := false
	for r.left() >= 4 {
		mode, _ := r.take(4)
		var ok bool
		switch mode {
		case endOfText:
			if err := r.padding(); err != nil {
				return "", err
			}
			return string(text), nil
		case segmentDigits:
			text, ok = r.digits(text, [3]int{10, 12, 14}[class])
		case segmentPairs:
			text, ok = r.pairs(text, [3]int{9, 11, 13}[class])
		case segmentBytes:
			text, ok = r.bytes(text, [3]int{8, 16, 16}[class], utf8)
		case segmentECI:
			var register int
			register, ok = r.take(8)
			utf8, ok = true, ok && register == eciUTF8
		default:
			return "", errMode
		}
		if !ok {
			return "", errSegment
		}
	}
	if rest, _ := r.take(r.left()); rest != 0 {
		return "", errPadding
	}
	return string(text), nil
}

// padding reads what follows the end of the text.
func (r *bitReader) padding() error {
	if rest, _ := r.take(r.left() % 8); rest != 0 {
		return errPadding
	}
	for i, pad := range r.data[r.next/8:] {
		if i%2 == 0 && pad != 0b11101100 || i%2 == 1 && pad != 0b00010001 {
			return errPadding
		}
	}
	return nil
}

// digits reads a segment of digits: three in ten bits, two in seven, one in
// four.
func (r *bitReader) digits(text []byte, countBits int) ([]byte, bool) {
	count, ok := r.take(countBits)
	for ; ok && count > 0; count -= 3 {
		group := min(count, 3)
		var value int
		value, ok = r.take([4]int{1: 4, 2: 7, 3: 10}[group])
		ok = ok && value < [4]int{1: 10, 2: 100, 3: 1000}[group]
		for divisor := [4]int{1: 1, 2: 10, 3: 100}[group]; ok && divisor > 0; divisor /= 10 {
			text = append(text, '0'+byte(value/divisor%10))
		}
	}
	return text, ok
}

// pairs reads a segment of the 45 characters: two in eleven bits, one in six.
func (r *bitReader) pairs(text []byte, countBits int) ([]byte, bool) {
	const characters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
	count, ok := r.take(countBits)
	for ; ok && count > 0; count -= 2 {
		var value int
		if count == 1 {
			value, ok = r.take(6)
		} else {
			value, ok = r.take(11)
			if ok = ok && value < 45*45; ok {
				text = append(text, characters[value/45])
				value %= 45
			}
		}
		if ok = ok && value < 45; ok {
			text = append(text, characters[value])
		}
	}
	return text, ok
}

// bytes reads a segment of bytes.
func (r *bitReader) bytes(text []byte, countBits int, utf8 bool) ([]byte, bool) {
	count, ok := r.take(countBits)
	for ; ok && count > 0; count-- {
		var value int
		value, ok = r.take(8)
		ok = ok && (utf8 || value < 0x80)
		text = append(text, byte(value))
	}
	return text, ok
}
