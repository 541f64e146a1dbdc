package symbol

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
