package codes

// CheckDigits returns the two check digits that belong behind digits, which
// may be of any length, by ISO/IEC 7064 MOD 97-10: "02" to "98". It returns
// ErrShape if digits is empty or has anything but 0-9 in it.
func CheckDigits(digits string) (string, error) {
	remainder, ok := remainderOf(digits)
	if !ok {
		return "", ErrShape
	}
	check := checkOf(remainder)
	return string([]byte{'0' + byte(check/10), '0' + byte(check%10)}), nil
}

// Valid reports whether the last two of digits are the check digits of those
// before them, by ISO/IEC 7064 MOD 97-10. There must be at least one digit
// before the check digits, and nothing but 0-9. Check digits of 00, 01 and 99
// are refused even where the remainder is right: the procedure never yields
// them, it yields 97, 98 and 02.
func Valid(digits string) bool {
	end := len(digits) - 2
	if end < 0 {
		return false
	}
	check, err := CheckDigits(digits[:end])
	return err == nil && check == digits[end:]
}

// remainderOf returns digits modulo 97, and false if digits is empty or has
// anything but 0-9 in it.
func remainderOf(digits string) (uint64, bool) {
	remainder := uint64(0)
	for _, d := range []byte(digits) {
		if d < '0' || d > '9' {
			return 0, false
		}
		remainder = (remainder*10 + uint64(d-'0')) % modulus
	}
	return remainder, digits != ""
}
