package codes

// Digits is the number of digits of a code.
const Digits = 14

const length = Digits

// String returns c as it is printed, in groups: 26329-004-0017-63. The zero
// Code gives an empty string.
func (c Code) String() string {
	if c.IsZero() {
		return ""
	}
	d := c.digits()
	return string([]byte{
		d[0], d[1], d[2], d[3], d[4], '-',
		d[5], d[6], d[7], '-',
		d[8], d[9], d[10], d[11], '-',
		d[12], d[13],
	})
}

// Compact returns c as it stands in a symbol, digits only: 26329004001763. The
// zero Code gives an empty string.
func (c Code) Compact() string {
	if c.IsZero() {
		return ""
	}
	d := c.digits()
	return string(d[:])
}

// AppendCompact appends what Compact returns to b.
func (c Code) AppendCompact(b []byte) []byte {
	if c.IsZero() {
		return b
	}
	d := c.digits()
	return append(b, d[:]...)
}

// MarshalText returns what String returns, for encoding/json and its like: an
// empty text for the zero Code.
func (c Code) MarshalText() ([]byte, error) {
	return []byte(c.String()), nil
}

// UnmarshalText sets c to what Parse makes of text, with Parse's errors. An
// empty text, which is what MarshalText gives for it, sets the zero Code.
func (c *Code) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*c = Code{}
		return nil
	}
	code, err := Parse(string(text))
	if err != nil {
		return err
	}
	*c = code
	return nil
}

// digits returns the fourteen digits of a code that is not zero.
func (c Code) digits() [length]byte {
	var d [length]byte
	rest := c.payload*100 + checkOf(c.payload%modulus)
	for i := length - 1; i >= 0; i-- {
		d[i] = '0' + byte(rest%10)
		rest /= 10
	}
	return d
}
