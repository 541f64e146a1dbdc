package codes

import (
	"strings"
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
				if count < Digits {
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
	case Digits:
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

// modulus is that of ISO/IEC 7064 MOD 97-10.
const modulus = 97

// checkOf returns the check digits of a remainder of the digits before them,
// as a number from 2 to 98 (ISO/IEC 7064 MOD 97-10). 97 and 98 are what some
// programs wrongly write as 00 and 01.
func checkOf(remainder uint64) uint64 {
	return modulus + 1 - remainder*100%modulus
}

// printed is the number of bytes of a code as String prints it.
const printed = Digits + 3

// FromSymbol returns the code that the text of a symbol on a label carries:
//
//   - a code alone, in all that Parse tolerates;
//   - a record, one line that begins with the code exactly as String prints it,
//     then one space and more text with a letter in it;
//   - a link, http or https in capitals or not, with a host, whose path ends in
//     the code, its digits alone or with hyphens between them, and nothing
//     behind it.
//
// A record or link may have a symbology identifier directly before it, as Parse
// tolerates it. The error is one of Parse's: that of the code where a record or
// a link has one, and ErrShape for a link of any other form. FromSymbol does not
// allocate.
func FromSymbol(text string) (Code, error) {
	body := text
	if len(body) > 2 && body[2]-'0' <= 9 && endsIdentifier(body[:2]) {
		body = body[3:]
	}
	if body != "" && body[0]-'0' <= 9 {
		if isRecord(body) {
			return Parse(body[:printed])
		}
		return Parse(text)
	}
	if scheme, rest, found := strings.Cut(body, "://"); found {
		return fromLink(scheme, rest)
	}
	return Parse(text)
}

// isRecord reports whether s begins like a record. That a letter follows tells
// it from a printed code with digits too many behind it.
func isRecord(s string) bool {
	if len(s) < printed+2 || s[printed] != ' ' || s[printed+1] == ' ' {
		return false
	}
	for i := range printed {
		hyphen := i == 5 || i == 9 || i == 14
		if hyphen != (s[i] == '-') || !hyphen && s[i]-'0' > 9 {
			return false
		}
	}
	return strings.ContainsFunc(s[printed+1:], unicode.IsLetter)
}

// fromLink returns the code at the end of a link, given what stands before and
// behind its "://".
func fromLink(scheme, rest string) (Code, error) {
	if !strings.EqualFold(scheme, "http") && !strings.EqualFold(scheme, "https") {
		return Code{}, ErrShape
	}
	host := strings.IndexByte(rest, '/')
	if host < 1 || !isHost(rest[:host]) || strings.ContainsFunc(rest, leavesPath) {
		return Code{}, ErrShape
	}
	last := rest[strings.LastIndexByte(rest, '/')+1:]
	if last == "" || last[0] == '-' || last[len(last)-1] == '-' || strings.Trim(last, "0123456789-") != "" {
		return Code{}, ErrShape
	}
	return Parse(last)
}

// isHost reports whether s looks like a host, with or without a port.
func isHost(s string) bool {
	if s[0] == ':' {
		return false
	}
	return !strings.ContainsFunc(s, func(r rune) bool {
		letter := 'a' <= r|0x20 && r|0x20 <= 'z'
		return !letter && !('0' <= r && r <= '9') && !strings.ContainsRune("-.:[]", r)
	})
}

// leavesPath reports whether r cannot stand in the path of a link: it begins a
// query or a fragment, or would be escaped.
func leavesPath(r rune) bool {
	return r <= ' ' || r > '~' || strings.ContainsRune(`?#\"<>`, r)
}
