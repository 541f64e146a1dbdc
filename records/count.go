package records

import "strconv"

// Count is a number of stems that somebody said, or did not say. The zero Count
// was not said.
type Count struct {
	said bool
	n    int
}

// Said returns the count of n stems.
func Said(n int) Count { return Count{true, n} }

// Value returns the number, and whether it was said; 0 when it was not.
func (c Count) Value() (n int, said bool) { return c.n, c.said }

// String returns the number in digits, "" when it was not said.
func (c Count) String() string {
	if !c.said {
		return ""
	}
	return strconv.Itoa(c.n)
}
