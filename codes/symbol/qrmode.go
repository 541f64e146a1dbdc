package symbol

import (
	"encoding/binary"
	"strings"

	"rsc.io/qr/coding"
)

// qrMode is a way to write characters as bits.
type qrMode uint8

const (
	numericMode      qrMode = iota // three digits in ten bits
	alphanumericMode               // two characters in eleven bits
	byteMode                       // ASCII, a character in eight bits
	unicodeMode                    // UTF-8, a byte in eight bits, behind a header that says so
)

// The header of unicodeMode: the indicator of an extended channel
// interpretation and the number of UTF-8 (ISO/IEC 18004, 7.4.2, and the AIM
// register of extended channel interpretations; memory). Without it a reader
// has to guess: ISO/IEC 18004 names ISO/IEC 8859-1, and many guess by the bytes.
const (
	unicodeHeader     = 0b0111<<8 | 26
	unicodeHeaderBits = 12
)

// indicator returns the four bits that open a segment (ISO/IEC 18004, table 2;
// memory).
func (m qrMode) indicator() uint64 {
	switch m {
	case numericMode:
		return 0b0001
	case alphanumericMode:
		return 0b0010
	}
	return 0b0100
}

// countBits returns the length in bits of the number of characters (ISO/IEC
// 18004, table 3; memory).
func (m qrMode) countBits(version coding.Version) int {
	size := 0
	if version >= 10 {
		size++
	}
	if version >= 27 {
		size++
	}
	switch m {
	case numericMode:
		return [...]int{10, 12, 14}[size]
	case alphanumericMode:
		return [...]int{9, 11, 13}[size]
	}
	return [...]int{8, 16, 16}[size]
}

// bits returns the length in bits of a text of so many bytes, the terminator
// not included.
func (m qrMode) bits(version coding.Version, length int) int {
	head := 4 + m.countBits(version)
	switch m {
	case numericMode:
		return head + 10*(length/3) + [...]int{0, 4, 7}[length%3]
	case alphanumericMode:
		return head + 11*(length/2) + 6*(length%2)
	case unicodeMode:
		head += unicodeHeaderBits
	}
	return head + 8*length
}

// write fills data, which has room enough, with a text and what pads it.
func (m qrMode) write(data []byte, version coding.Version, text string) {
	w := bitWriter{rest: data}
	if m == unicodeMode {
		w.write(unicodeHeader, unicodeHeaderBits)
	}
	w.write(m.indicator(), 4)
	w.write(uint64(len(text)), m.countBits(version))
	switch m {
	case numericMode:
		for ; len(text) >= 3; text = text[3:] {
			w.write(100*digit(text[0])+10*digit(text[1])+digit(text[2]), 10)
		}
		switch len(text) {
		case 2:
			w.write(10*digit(text[0])+digit(text[1]), 7)
		case 1:
			w.write(digit(text[0]), 4)
		}
	case alphanumericMode:
		for ; len(text) >= 2; text = text[2:] {
			w.write(45*rank(text[0])+rank(text[1]), 11)
		}
		if len(text) == 1 {
			w.write(rank(text[0]), 6)
		}
	default:
		for i := range len(text) {
			w.write(uint64(text[i]), 8)
		}
	}
	w.pad()
}

// digit returns the value of a digit.
func digit(c byte) uint64 { return uint64(c - '0') }

// rank returns the value of a character of alphanumeric mode.
func rank(c byte) uint64 { return uint64(strings.IndexByte(alphanumeric, c)) }

// bitWriter writes numbers into bytes, the highest bit first.
type bitWriter struct {
	rest   []byte // not written yet
	held   uint64 // bits that do not fill a byte of rest yet, the last one lowest
	length int    // how many are held, always less than 32 between two writes
}

// write writes the lowest length bits of value, at most 32.
func (w *bitWriter) write(value uint64, length int) {
	w.held = w.held<<length | value
	w.length += length
	if w.length >= 32 {
		w.length -= 32
		binary.BigEndian.PutUint32(w.rest, uint32(w.held>>w.length))
		w.rest = w.rest[4:]
	}
}

// pad fills what is left: up to four zeros as a terminator, zeros up to a whole
// byte, and then the two pad codewords in turn (ISO/IEC 18004, 7.4.9 and
// 7.4.10; memory).
func (w *bitWriter) pad() {
	left := 8*len(w.rest) - w.length
	w.held <<= min(4, left)
	w.length += min(4, left)
	whole := (w.length + 7) / 8
	w.held <<= 8*whole - w.length
	for i := range whole {
		w.rest[i] = byte(w.held >> (8 * (whole - 1 - i)))
	}
	for i := range w.rest[whole:] {
		w.rest[whole+i] = [2]byte{0xec, 0x11}[i%2]
	}
}
