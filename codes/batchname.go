package codes

import (
	"time"
	"unicode"
)

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
