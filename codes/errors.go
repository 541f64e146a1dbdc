package codes

// What can be wrong with a code. Parse returns these bare, so that they can be
// compared with ==, and names the first that applies in this order: the shape
// of the whole text, the number of digits, the check digits, the date, the
// unit. So a slip of the finger is always a matter of shape, length or check
// digits; only a number that was never a code of ours, but has check digits
// that fit, comes as far as the date and the unit.
var (
	// ErrShape: no digit at all, or something other than spaces and hyphens
	// between the digits, or a digit that is not one of 0-9.
	ErrShape error = &fault{
		text: "not a batch code: a code is 14 digits with only spaces and hyphens between them",
		hint: "type it as it is printed, such as 26329-004-0017-63",
	}
	// ErrLength: more or fewer than fourteen digits.
	ErrLength error = &fault{
		text: "not a batch code: a code has exactly 14 digits",
		hint: "count the groups: five digits, three, four and two",
	}
	// ErrCheckDigits: the last two digits do not follow from the twelve before.
	ErrCheckDigits error = &fault{
		text: "the check digits do not match: a digit is wrong, or two are swapped",
		hint: "read the label again, digit by digit",
	}
	// ErrDate: no such day, or a year outside 2000-2099.
	ErrDate error = &fault{
		text: "no such date: a code holds a year from 2000 to 2099 and a day of that year",
		hint: "check the year and the day: days run from 001 to 365, or to 366 in a leap year",
	}
	// ErrUnit: the number of a batch, stem or tray out of range.
	ErrUnit error = &fault{
		text: "number out of range: a day has batches 1-999, a batch has stems 1-8999 and trays 1-999",
		hint: "count from 1, and split a larger batch in two",
	}
)

// fault is an error with advice.
type fault struct{ text, hint string }

// Error says what is wrong.
func (f *fault) Error() string { return f.text }

// Hint says what to do about it, in one line.
func (f *fault) Hint() string { return f.hint }
