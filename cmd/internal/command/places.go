package command

import (
	"errors"
	"strconv"

	"graftslip/records"
)

// Numbers is a flag's value: numbers and ranges, such as 3,5-8.
type Numbers struct{ records.Numbers }

// Set reads a list of numbers.
func (n *Numbers) Set(text string) (err error) {
	n.Numbers, err = records.ParseNumbers(text)
	return err
}

// Type names the value in the help.
func (n *Numbers) Type() string { return "N,N-N" }

// Count is a flag's value: a number from 1, or 0 when it was not given.
type Count int

// Set reads a number.
func (c *Count) Set(text string) error {
	n, err := strconv.ParseUint(text, 10, 16)
	if err != nil || n < 1 || n > records.MaxNumber {
		return errors.New("a place is a number from 1, as graftslip ruler prints it")
	}
	*c = Count(n)
	return nil
}

func (c *Count) String() string {
	if *c == 0 {
		return ""
	}
	return strconv.Itoa(int(*c))
}

// Type names the value in the help.
func (c *Count) Type() string { return "N" }
