package codes

import (
	"math/bits"
	"strings"
	"unicode"
	"unicode/utf8"
)

// anyDigit is the set of all ten digits. In a set of digits bit d stands for
// the digit d.
const anyDigit uint16 = 1<<10 - 1

// mark is one character of a reading that stands for a digit.
type mark struct {
	read   rune
	digits uint16 // those that it may be
}

// unknown reports whether m may be more than one digit.
func (m mark) unknown() bool { return bits.OnesCount16(m.digits) > 1 }

// kind returns what it takes to make a digit of m: 0 for nothing, Filled or
// Letter.
func (m mark) kind() Damage {
	switch {
	case '0' <= m.read && m.read <= '9':
		return 0
	case m.digits == anyDigit:
		return Filled
	default:
		return Letter
	}
}

// markOf returns the mark that r makes, and false if r is none: a digit, a
// letter or a sign for what cannot be read.
func markOf(r rune) (mark, bool) {
	switch r {
	case '?', '_', '*', '#':
		return mark{r, anyDigit}, true
	case 'O', 'o', 'Q', 'D':
		return mark{r, 1 << 0}, true
	case 'I', 'l', 'i', '|':
		return mark{r, 1 << 1}, true
	case 'Z', 'z':
		return mark{r, 1 << 2}, true
	case 'S', 's':
		return mark{r, 1 << 5}, true
	case 'G':
		return mark{r, 1 << 6}, true
	case 'B':
		return mark{r, 1 << 8}, true
	case 'q':
		return mark{r, 1 << 9}, true
	case 'b':
		return mark{r, 1<<6 | 1<<8}, true
	case 'g':
		return mark{r, 1<<6 | 1<<9}, true
	}
	if '0' <= r && r <= '9' {
		return mark{r, 1 << (r - '0')}, true
	}
	return mark{r, anyDigit}, unicode.IsLetter(r)
}

// reading is what was read of a damaged code.
type reading struct {
	marks   [longest]mark
	count   int // marks in use, shortest to longest
	unknown int // marks that may be more than one digit, 0 to mostUnknown
	letters int // marks that are letters read as digits
}

// readingOf returns the marks of s without separators and the words around
// them. It returns ErrShape if something else stands between the marks or there
// are none, ErrLength if there are too few or too many of them, and
// ErrIllegible if more than Repair fills in is unknown.
func readingOf(s string) (reading, error) {
	from, to, ok := core(s)
	if !ok {
		return reading{}, ErrShape
	}
	var r reading
	for _, character := range s[from:to] {
		m, ok := markOf(character)
		switch {
		case !ok && (separates(character) || strings.ContainsRune(".,:/", character)):
			continue
		case !ok:
			return reading{}, ErrShape
		}
		if r.count < longest {
			r.marks[r.count] = m
		}
		r.count++
		if m.unknown() {
			r.unknown++
		}
		if m.kind() == Letter {
			r.letters++
		}
	}
	switch {
	case r.count < shortest || r.count > longest:
		return reading{}, ErrLength
	case r.unknown > mostUnknown || r.mostFaults() < r.lengthFaults():
		return reading{}, ErrIllegible
	}
	return r, nil
}

// core returns where in s the code begins and ends, and false if there is none
// or s has a number in it that is not made of 0-9. A word is what stands between
// characters that are no marks.
func core(s string) (from, to int, ok bool) {
	start := afterIdentifier(s)
	from, to = -1, -1
	word := -1                    // where the word begins that i is in, or -1
	code, strange := false, false // the word has a digit, ? or _; a letter like no digit
	end := func(i int) {
		if word >= 0 && (code || !strange) {
			if from < 0 {
				from = word
			}
			to = i
		}
		word, code, strange = -1, false, false
	}
	for i := start; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		m, ok := markOf(r)
		switch {
		case ok:
			if word < 0 {
				word = i
			}
			switch {
			case m.kind() == 0 || m.digits == anyDigit && !unicode.IsLetter(r):
				code = true
			case m.digits == anyDigit && r != 'x' && r != 'X': // people put an x for what they cannot read
				strange = true
			}
		case unicode.IsNumber(r):
			return 0, 0, false
		default:
			end(i)
		}
		i += size
	}
	end(len(s))
	return from, to, from >= 0
}

// afterIdentifier returns the length of s up to the end of a symbology
// identifier before the first digit, as Parse takes it, and 0 if there is none.
func afterIdentifier(s string) int {
	for i := range len(s) {
		if s[i]-'0' <= 9 {
			if endsIdentifier(s[:i]) {
				return i + 1
			}
			return 0
		}
	}
	return 0
}

// lengthFaults returns how many faults the number of marks takes alone.
func (r *reading) lengthFaults() int { return max(r.count-Digits, Digits-r.count) }

// mostFaults returns how many faults are tried beside the unknown digits.
func (r *reading) mostFaults() int { return min(mostFaults, (mostOpen-r.unknown)/2) }
