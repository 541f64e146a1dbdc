package layouts

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// MillimetresPerInch is exact by the international definition of the inch.
const MillimetresPerInch = 25.4

// lengthForm takes 8mm, 0,8 cm, 5/16in and 1 1/2 inches.
var lengthForm = regexp.MustCompile(`^(?:(?:([0-9]{1,9}) +)?([0-9]{1,9})/([0-9]{1,9})|([0-9]{0,9}(?:[.,][0-9]{1,9})?))\s*(mm|cm|inches|inch|in|"|″)?$`)

// ParseLength reads a length with its unit and returns millimetres: "8mm",
// "0.8 cm", "0.5in", "5/16in", "1 1/4 in", `1/2"`. A decimal comma is as good
// as a point. A bare number is refused, since 8 may be eighths or millimetres;
// so are signs, exponents and lengths of 10 m and more. The error is an *Error.
func ParseLength(s string) (float64, error) {
	parts := lengthForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(s)))
	if parts == nil {
		parts = make([]string, 6)
	}
	whole, above, below, decimal := number(parts[1]), number(parts[2]), number(parts[3]), number(parts[4])
	unit := MillimetresPerInch
	switch parts[5] {
	case "mm":
		unit = 1
	case "cm":
		unit = 10
	}
	mm, reason := decimal*unit, ""
	if parts[2] != "" {
		mm = (whole + above/below) * unit
	}
	switch {
	case parts[2] == "" && parts[4] == "", parts[2] != "" && below == 0, parts[1] != "" && above >= below:
		reason = "it has no valid number"
	case parts[5] == "":
		reason = "it has no unit"
	case mm >= 10_000:
		reason = "it is 10 m or more"
	default:
		return mm, nil
	}
	return 0, &Error{fmt.Sprintf("%q is not a length: %s", s, reason), "write a number and its unit, such as 8mm, 0.8cm or 5/16in"}
}

// ParseSize reads a width and a height, or a length, as ParseLength does. The unit
// after the second is that of both: "48.5x21.2mm". The error is an *Error.
func ParseSize(s string) (Size, error) {
	const digits = "0123456789.,/ "
	first, second, found := strings.Cut(strings.ReplaceAll(strings.ToLower(s), "×", "x"), "x")
	first, second = strings.TrimSpace(first), strings.TrimSpace(second)
	if strings.TrimRight(first, digits) == "" {
		first += strings.TrimLeft(second, digits)
	}
	width, err := ParseLength(first)
	height, heightErr := ParseLength(second)
	if !found || err != nil || heightErr != nil {
		return Size{}, &Error{fmt.Sprintf("%q is not a size", s), "write width x height and the unit, such as 48.5x21.2mm or 2.625x1in"}
	}
	return Size{width, height}, nil
}

// number reads digits, perhaps with a decimal comma or point; 0 for none.
func number(digits string) float64 {
	value, _ := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	return value
}

// FormatLength writes millimetres with no more than three decimals: "25.4 mm".
func FormatLength(mm float64) string {
	return FormatNumber(mm) + " mm"
}

// FormatNumber writes a number with no more than three decimals.
func FormatNumber(n float64) string {
	return strconv.FormatFloat(math.Round(n*1000)/1000, 'f', -1, 64)
}

// FormatTenth writes a number rounded down to a tenth.
func FormatTenth(n float64) string { return FormatNumber(math.Floor(n*10) / 10) }
