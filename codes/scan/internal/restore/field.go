package restore

// field is the field of 256 elements in which codewords are numbers.
type field struct {
	power [510]byte // of 2
	log   [256]int
}

// The polynomials of the two fields (ISO/IEC 18004, 7.5.2; ISO/IEC 16022,
// 5.7.1; memory).
const (
	qrPolynomial     = 0x11d
	matrixPolynomial = 0x12d
)

func newField(polynomial int) *field {
	f := new(field)
	value := 1
	for i := range 255 {
		f.power[i], f.power[i+255] = byte(value), byte(value)
		f.log[value] = i
		value <<= 1
		if value > 255 {
			value ^= polynomial
		}
	}
	return f
}

func (f *field) times(a, b byte) byte {
	if a == 0 || b == 0 {
		return 0
	}
	return f.power[f.log[a]+f.log[b]]
}

// over divides by what is not zero.
func (f *field) over(a, b byte) byte {
	if a == 0 {
		return 0
	}
	return f.power[f.log[a]+255-f.log[b]]
}

// root is 2 to any whole power.
func (f *field) root(exponent int) byte {
	return f.power[((exponent%255)+255)%255]
}

// value is that of a polynomial, lowest coefficient first.
func (f *field) value(polynomial []byte, at byte) byte {
	sum := byte(0)
	for i := len(polynomial) - 1; i >= 0; i-- {
		sum = f.times(sum, at) ^ polynomial[i]
	}
	return sum
}
