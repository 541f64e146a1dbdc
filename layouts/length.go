package layouts

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MillimetresPerInch is exact by the international definition of the inch.
const MillimetresPerInch = 25.4

// ParseLength reads a length with its unit and returns millimetres: "8mm",
// "0.8 cm", "0.5in", "5/16in", "1 1/4 in", `1/2"`. A decimal comma is as good
// as a point. A bare number is refused, since 8 may be eighths or millimetres;
// so are signs, exponents and lengths of 10 m and more. The error is an *Error.
func ParseLength(s string) (float64, error) {
	text := strings.ToLower(strings.TrimSpace(s))
	number, unit := text, 0.0
	for _, u := range []struct {
		suffix      string
		millimetres float64
	}{{"mm", 1}, {"cm", 10}, {"inches", MillimetresPerInch}, {"inch", MillimetresPerInch}, {"in", MillimetresPerInch}, {`"`, MillimetresPerInch}, {"″", MillimetresPerInch}} {
		if rest, found := strings.CutSuffix(text, u.suffix); found {
			number, unit = strings.TrimSpace(rest), u.millimetres
			break
		}
	}
	value, ok := parseNumber(number)
	mm, reason := value*unit, ""
	switch {
	case !ok:
		reason = "it has no number that can be read"
	case unit == 0:
		reason = "it has no unit"
	case mm >= 10_000:
		reason = "it is 10 m or more"
	default:
		return mm, nil
	}
	return 0, &Error{fmt.Sprintf("%q is not a length: %s", s, reason), "write a number and its unit, as in 8mm, 0.8cm or 5/16in"}
}

// parseNumber reads "12", "0.5", "5/16" or "1 1/4". Anything strconv would
// also take, such as "1e3", "+2", "0x8" or "Inf", is refused.
func parseNumber(s string) (float64, bool) {
	whole, fraction, mixed := strings.Cut(s, " ")
	if mixed {
		w, okWhole := parseDigits(whole)
		f, okFraction := parseFraction(strings.TrimSpace(fraction))
		return w + f, okWhole && okFraction && f < 1
	}
	if strings.Contains(s, "/") {
		return parseFraction(s)
	}
	s = strings.Replace(s, ",", ".", 1)
	before, after, decimal := strings.Cut(s, ".")
	if _, ok := parseDigits(before); !ok && !(decimal && before == "") {
		return 0, false
	}
	if _, ok := parseDigits(after); decimal && !ok {
		return 0, false
	}
	value, err := strconv.ParseFloat(s, 64)
	return value, err == nil
}

func parseFraction(s string) (float64, bool) {
	above, below, found := strings.Cut(s, "/")
	a, okAbove := parseDigits(strings.TrimSpace(above))
	b, okBelow := parseDigits(strings.TrimSpace(below))
	if !found || !okAbove || !okBelow || b == 0 {
		return 0, false
	}
	return a / b, true
}

func parseDigits(s string) (float64, bool) {
	if s == "" || len(s) > 9 || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	value, err := strconv.ParseFloat(s, 64)
	return value, err == nil
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
