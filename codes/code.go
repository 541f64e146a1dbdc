// Package codes knows the batch code: fourteen digits that name a batch of
// grafts, one stem of it or one of its trays.
//
//	26329-004-0017-63
//	YYDDD BBB UUUU CC
//
//	YYDDD  graft date: year 2000-2099 and day of the year (ISO 8601 ordinal
//	       date with a two-digit year)
//	BBB    the day's batch, 001-999
//	UUUU   0000 the batch itself, 0001-8999 a stem, 9001-9999 tray 1-999
//	CC     check digits, ISO/IEC 7064 MOD 97-10 over the twelve digits before
//
// The code has digits only and always fourteen of them, because that is where
// MOD 97-10 keeps its promise: every single wrong digit and every exchange of
// two digits is found. Letters expanded to two digits, or a length that varies
// (leading zeros do not change the check digits), would break it.
package codes

import (
	"cmp"
	"time"
	"unicode"
)

// The largest numbers a code can hold; the smallest of each is 1.
const (
	MaxBatch = 999  // batches of one day
	MaxStem  = 8999 // stems of one batch
	MaxTray  = 999  // trays of one batch
)

const (
	firstYear = 2000
	lastYear  = 2099

	trayBase = 9000 // tray n has the unit trayBase + n; trayBase itself is no unit

	batchPlace = 10_000            // what one batch counts in a code's payload
	datePlace  = 1000 * batchPlace // what one day counts
	yearPlace  = 1000              // what one year counts in YYDDD
)

// Kind is what a code names.
type Kind uint8

// The kinds of code. The zero Kind is that of no code.
const (
	Batch Kind = iota + 1 // a batch as a whole
	Stem                  // one grafted stem
	Tray                  // one tray of a batch
)

// String returns "batch", "stem" or "tray", and "none" for the zero Kind.
func (k Kind) String() string {
	switch k {
	case Batch:
		return "batch"
	case Stem:
		return "stem"
	case Tray:
		return "tray"
	}
	return "none"
}

// Code is a batch code. Codes can be compared with == and used as map keys.
// The zero Code is no code. Every other Code that this package returns has a
// date that exists, a batch and a unit within their ranges.
type Code struct {
	// payload is the twelve digits before the check digits, as one number. A
	// code's day of the year is at least 1, so a payload of zero is no code,
	// and payloads order as date, batch, unit.
	payload uint64
}

// New returns the code of a whole batch (unit 0000), grafted on date as the
// batch-th batch of that day. Only the calendar day of date counts, in date's
// own location. It returns ErrDate for a year outside 2000-2099 and ErrUnit
// for a batch outside 1-999; the date is looked at first.
func New(date time.Time, batch int) (Code, error) {
	year := date.Year()
	if year < firstYear || year > lastYear {
		return Code{}, ErrDate
	}
	if batch < 1 || batch > MaxBatch {
		return Code{}, ErrUnit
	}
	day := uint64(year-firstYear)*yearPlace + uint64(date.YearDay())
	return Code{day*datePlace + uint64(batch)*batchPlace}, nil
}

// Stem returns the code of stem n of c's batch. It returns ErrUnit for n
// outside 1-8999, and for the zero Code, which has no batch.
func (c Code) Stem(n int) (Code, error) {
	if n < 1 || n > MaxStem || c.IsZero() {
		return Code{}, ErrUnit
	}
	return Code{c.Whole().payload + uint64(n)}, nil
}

// Tray returns the code of tray n of c's batch. It returns ErrUnit for n
// outside 1-999, and for the zero Code, which has no batch.
func (c Code) Tray(n int) (Code, error) {
	if n < 1 || n > MaxTray || c.IsZero() {
		return Code{}, ErrUnit
	}
	return Code{c.Whole().payload + trayBase + uint64(n)}, nil
}

// Whole returns the code of c's batch itself. The zero Code stays zero.
func (c Code) Whole() Code {
	return Code{c.payload - c.payload%batchPlace}
}

// IsZero reports whether c is the zero Code, which is no code.
func (c Code) IsZero() bool { return c.payload == 0 }

// Kind returns what c names; for the zero Code, the zero Kind.
func (c Code) Kind() Kind {
	switch unit := c.payload % batchPlace; {
	case c.IsZero():
		return 0
	case unit == 0:
		return Batch
	case unit <= MaxStem:
		return Stem
	default:
		return Tray
	}
}

// Number returns the number of the stem or the tray, and 0 for a batch.
func (c Code) Number() int {
	unit := int(c.payload % batchPlace)
	if unit > trayBase {
		return unit - trayBase
	}
	return unit
}

// Batch returns the number of the batch within its day, 1-999; for the zero
// Code, 0.
func (c Code) Batch() int {
	return int(c.payload / batchPlace % 1000)
}

// Date returns the graft date at midnight UTC; for the zero Code, the zero
// Time.
func (c Code) Date() time.Time {
	if c.IsZero() {
		return time.Time{}
	}
	date := int(c.payload / datePlace)
	year, day := firstYear+date/yearPlace, date%yearPlace
	// time.Date carries the day of the year over into its month.
	return time.Date(year, time.January, day, 0, 0, 0, 0, time.UTC)
}

// Compare orders codes by date, then batch, then unit: the batch itself, its
// stems, its trays. It returns -1, 0 or +1, and suits slices.SortFunc. The
// zero Code comes first.
func Compare(a, b Code) int {
	return cmp.Compare(a.payload, b.payload)
}

// Digits is the number of digits of a code.
const Digits = 14

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
func (c Code) digits() [Digits]byte {
	var d [Digits]byte
	rest := c.payload*100 + checkOf(c.payload%modulus)
	for i := Digits - 1; i >= 0; i-- {
		d[i] = '0' + byte(rest%10)
		rest /= 10
	}
	return d
}

// What names the batch in a code, in digits: the day, and the day's batch.
const (
	groupLength = 5
	batchLength = groupLength + 3
)

// BatchName returns how the codes of c's batch begin: 26329-004. The zero Code
// gives an empty string.
func (c Code) BatchName() string {
	const printed = batchLength + 1
	if c.IsZero() {
		return ""
	}
	return c.String()[:printed]
}

// ParseBatch reads the beginning of a code that names the batch, the day and
// the day's batch: 26329-004. It tolerates white space around it, and white
// space and hyphens between its two groups, and nothing else. There are no check
// digits in it, so show the person which batch it is before anything comes of
// it.
//
// The error is one of ErrShape, ErrLength, ErrDate and ErrUnit itself.
func ParseBatch(s string) (Code, error) {
	number, count := 0, 0
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			if count++; count > batchLength {
				return Code{}, ErrLength
			}
			number = number*10 + int(r-'0')
		case !separates(r) || !unicode.IsSpace(r) && count != groupLength || count != 0 && count != groupLength && count != batchLength:
			return Code{}, ErrShape
		}
	}
	switch count {
	case 0:
		return Code{}, ErrShape
	case batchLength:
	default:
		return Code{}, ErrLength
	}
	year, day := firstYear+number/1000/yearPlace, number/1000%yearPlace
	date := time.Date(year, time.January, day, 0, 0, 0, 0, time.UTC)
	if day < 1 || date.Year() != year {
		return Code{}, ErrDate
	}
	return New(date, number%1000)
}
