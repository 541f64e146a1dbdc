package records

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// MaxNumber is the largest number that Numbers hold: as many as a code has
// units.
const MaxNumber = 9999

// Numbers are whole numbers from 1 to MaxNumber, rising, each once: stems of a
// batch, or positions of a sheet.
type Numbers []int

// ParseNumbers reads numbers and ranges with commas between them: "17-23,40".
// They may come in any order and more than once, with spaces, and with a dash
// for the hyphen. The error is a *Problem.
func ParseNumbers(text string) (Numbers, error) {
	const longest = 10_000
	wrong := func(text, reason string) error {
		return &Problem{Text: fmt.Sprintf("%q: %s", text, reason), Advice: "write numbers like 17-23,40"}
	}
	if len(text) > longest {
		return nil, wrong(text[:20]+"…", "the list is too long")
	}
	var chosen [MaxNumber + 1]bool
	for part := range strings.SplitSeq(strings.ReplaceAll(text, "–", "-"), ",") {
		first, last, isRange := strings.Cut(part, "-")
		from, err := number(first)
		to := from
		if err == nil && isRange {
			to, err = number(last)
		}
		if err != nil {
			return nil, wrong(text, err.Error())
		}
		if to < from {
			return nil, wrong(text, fmt.Sprintf("the range %d-%d runs backwards", from, to))
		}
		for n := from; n <= to; n++ {
			chosen[n] = true
		}
	}
	var all Numbers
	for n, is := range chosen {
		if is {
			all = append(all, n)
		}
	}
	return all, nil
}

func number(text string) (int, error) {
	text = strings.TrimSpace(text)
	n, err := strconv.ParseUint(text, 10, 16)
	switch {
	case text == "":
		return 0, fmt.Errorf("a number is missing")
	case err != nil || n < 1 || n > MaxNumber:
		return 0, fmt.Errorf("%q is not a number from 1 to %d", text, MaxNumber)
	}
	return int(n), nil
}

// String writes the numbers as ParseNumbers reads them, two or more that
// follow each other as a range.
func (n Numbers) String() string {
	var parts []string
	for i := 0; i < len(n); {
		end := i
		for end+1 < len(n) && n[end+1] == n[end]+1 {
			end++
		}
		part := strconv.Itoa(n[i])
		if end > i {
			part += "-" + strconv.Itoa(n[end])
		}
		parts = append(parts, part)
		i = end + 1
	}
	return strings.Join(parts, ",")
}

// Rows names rows of a spreadsheet: "row 4", "rows 4-9, 12"; only the first if there are many.
func (n Numbers) Rows() string {
	const most = 12 // ranges
	if len(n) == 1 {
		return fmt.Sprintf("row %d", n[0])
	}
	ranges := strings.Split(n.String(), ",")
	if len(ranges) > most {
		return fmt.Sprintf("rows %s and more (%d in all)", strings.Join(ranges[:most], ", "), len(n))
	}
	return "rows " + strings.Join(ranges, ", ")
}

// With returns the numbers of both.
func (n Numbers) With(others Numbers) Numbers {
	all := slices.Concat(n, others)
	slices.Sort(all)
	return slices.Compact(all)
}

// Contains reports whether a number is among them.
func (n Numbers) Contains(number int) bool {
	_, found := slices.BinarySearch(n, number)
	return found
}

// Range returns the numbers from one to another, both included.
func Range(from, to int) Numbers {
	var all Numbers
	for n := from; n <= to; n++ {
		all = append(all, n)
	}
	return all
}
