package records

import "strconv"

// Count is a number of stems, or none. The zero Count has no number.
type Count struct {
	said bool
	n    int
}

// Said returns the count of n stems.
func Said(n int) Count { return Count{true, n} }

// Value returns the number, and whether there is one; 0 if not.
func (c Count) Value() (n int, said bool) { return c.n, c.said }

// String returns the number in digits, "" for none.
func (c Count) String() string {
	if !c.said {
		return ""
	}
	return strconv.Itoa(c.n)
}
