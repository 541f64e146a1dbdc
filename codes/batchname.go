package codes

import "time"

// batchLength is the number of digits of a code that name the batch.
const batchLength = 8

// ParseBatch reads the beginning of a code that names the batch, the day and
// the day's batch: 26329-004. It tolerates white space and hyphens as Parse
// does, and nothing else. There are no check digits in it, so show the person
// which batch it is before anything comes of it.
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
		case !separates(r):
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
