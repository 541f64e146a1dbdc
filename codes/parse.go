package codes

import (
	"unicode"
	"unicode/utf8"
)

// Parse reads a code as people type it and scanners send it. It tolerates
//
//   - white space of every kind and hyphens of every kind (Unicode's dashes,
//     the minus sign U+2212, the soft hyphen U+00AD) between the digits;
//   - text without any digit before the first digit and behind the last, such
//     as the words a scanner is set up to send, control characters, or a byte
//     order mark;
//   - one symbology identifier, as scanners send it to name the kind of symbol
//     they read, somewhere before the first digit: "]", a letter and a digit,
//     such as ]C0, ]Q1 or ]d2 (ISO/IEC 15424).
//
// Nothing else is tolerated: fourteen digits of 0-9 are left, with nothing
// else between them, and no other number, in any script, anywhere.
//
// The error is one of ErrShape, ErrLength, ErrCheckDigits, ErrDate and ErrUnit
// itself; where several would apply it is the first of them in this order.
// Parse does not allocate.
func Parse(s string) (Code, error) {
	var (
		number     uint64 // the first fourteen digits
		count      int    // digits so far
		ended      bool   // the digits are over: text has come behind them
		identified bool   // the symbology identifier has come
	)
	for i := 0; i < len(s); {
		c := s[i]
		if digit := c - '0'; digit <= 9 {
			switch {
			case ended:
				return Code{}, ErrShape
			case count == 0 && !identified && endsIdentifier(s[:i]):
				identified = true
			default:
				if count < length {
					number = number*10 + uint64(digit)
				}
				count++
			}
			i++
			continue
		}
		r, size := rune(c), 1
		if c >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(s[i:])
		}
		if !separates(r) {
			if unicode.IsNumber(r) {
				return Code{}, ErrShape
			}
			ended = count > 0
		}
		i += size
	}
	switch count {
	case 0:
		return Code{}, ErrShape
	case length:
		return fromNumber(number)
	default:
		return Code{}, ErrLength
	}
}

// endsIdentifier reports whether s ends in the first two characters of a
// symbology identifier, "]" and a letter.
func endsIdentifier(s string) bool {
	if len(s) < 2 || s[len(s)-2] != ']' {
		return false
	}
	letter := s[len(s)-1] | 0x20 // lower case
	return 'a' <= letter && letter <= 'z'
}

// separates reports whether r may stand between the digits of a code.
func separates(r rune) bool {
	const (
		softHyphen = '\u00AD'
		hyphen     = '\u2010' // first of a row of dashes
		bar        = '\u2015' // last of them
		minusSign  = '\u2212'
	)
	switch {
	case r < utf8.RuneSelf:
		return r == '-' || r == ' ' || '\t' <= r && r <= '\r'
	case hyphen <= r && r <= bar: // the usual dashes, without a search in tables
		return true
	default:
		return r == softHyphen || r == minusSign || unicode.IsSpace(r) || unicode.Is(unicode.Pd, r)
	}
}

// fromNumber returns the code whose fourteen digits are number.
func fromNumber(number uint64) (Code, error) {
	payload, check := number/100, number%100
	if check != checkOf(payload%modulus) {
		return Code{}, ErrCheckDigits
	}
	date := payload / datePlace
	year, day := date/yearPlace, date%yearPlace
	days := uint64(365)
	if year%4 == 0 { // true of every leap year from 2000 to 2099, and of no other
		days = 366
	}
	if day < 1 || day > days {
		return Code{}, ErrDate
	}
	if payload/batchPlace%1000 == 0 || payload%batchPlace == trayBase {
		return Code{}, ErrUnit
	}
	return Code{payload}, nil
}
