package layouts

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// How far a correction reaches. Common practice, no source: a printer that is
// further off is set wrongly, and correcting it would hide that.
const (
	MostShift  = 20.0 // mm either way
	LeastScale = 0.97
	MostScale  = 1.03
)

// Correction makes up for a printer that prints beside the place or off the
// size it was told. The zero Correction changes nothing.
type Correction struct {
	ShiftX, ShiftY float64 // mm to the right and down; negative to the left and up
	ScaleX, ScaleY float64 // of distances from the paper's upper left corner; 0 counts as 1
}

// Point returns where a point of the paper is to be printed.
func (c Correction) Point(x, y float64) (printedX, printedY float64) {
	return x*factor(c.ScaleX) + c.ShiftX, y*factor(c.ScaleY) + c.ShiftY
}

// Area returns where an area of the paper is to be printed.
func (c Correction) Area(r Rect) Rect {
	x, y := c.Point(r.X, r.Y)
	return Rect{x, y, r.Width * factor(c.ScaleX), r.Height * factor(c.ScaleY)}
}

// Scales returns the two factors, 1 where none is set.
func (c Correction) Scales() (x, y float64) { return factor(c.ScaleX), factor(c.ScaleY) }

// None reports whether c changes nothing.
func (c Correction) None() bool {
	x, y := c.Scales()
	return c.ShiftX == 0 && c.ShiftY == 0 && x == 1 && y == 1
}

func factor(scale float64) float64 {
	if scale == 0 {
		return 1
	}
	return scale
}

// ScaleFor is the scale that makes up for a printer which prints a distance of
// told mm as measured mm, to the fifth decimal. With a scale in use already it
// is to be multiplied by that.
func ScaleFor(told, measured float64) float64 { return rounded(told/measured, 5) }

func rounded(v float64, decimals int) float64 {
	power := math.Pow10(decimals)
	if v = math.Round(v*power) / power; v == 0 {
		return 0 // not the negative zero, which would be written -0
	}
	return v
}

// FormatShift writes the shift as ParseShift reads it: "0.5mm,-1mm".
func (c Correction) FormatShift() string {
	length := func(mm float64) string { return strconv.FormatFloat(rounded(mm, 3), 'f', -1, 64) + "mm" }
	return length(c.ShiftX) + "," + length(c.ShiftY)
}

// FormatScale writes the scale as ParseScale reads it: "0.998", or
// "0.998,1.001" where it differs.
func (c Correction) FormatScale() string {
	number := func(scale float64) string { return strconv.FormatFloat(rounded(factor(scale), 5), 'f', -1, 64) }
	x, y := number(c.ScaleX), number(c.ScaleY)
	if x == y {
		return x
	}
	return x + "," + y
}

// ParseShift reads how far print is to be moved to the right and down: two
// lengths with their units, each of which may be negative. They are rounded to
// a thousandth of a millimetre. The error is an *Error.
func ParseShift(text string) (x, y float64, err error) {
	fail := func(reason, advice string) (float64, float64, error) {
		return 0, 0, &Error{fmt.Sprintf("%q %s", text, reason), advice}
	}
	const form = "write the distance to the right and the distance down, such as 0.5mm,-1mm; a negative one is to the left or up"
	// The comma behind a unit divides the lengths, one behind a digit is decimal.
	parts := regexp.MustCompile(`^\s*(-?)([^-]*[^-0-9\s])\s*,\s*(-?)([^-]+)$`).FindStringSubmatch(text)
	if parts == nil {
		return fail("is not two lengths with a comma between them", form)
	}
	var shift [2]float64
	for i := range shift {
		length, err := ParseLength(parts[2*i+2])
		if err != nil {
			return fail("is not a valid shift: "+err.Error(), form)
		}
		if length > MostShift {
			return fail(fmt.Sprintf("is a shift of more than %v mm", MostShift), "first check that the printer driver is set to this paper size and adds no margins or scaling")
		}
		if parts[2*i+1] != "" {
			length = -length
		}
		shift[i] = rounded(length, 3)
	}
	return shift[0], shift[1], nil
}

// ParseScale reads by which factor distances are to be printed: one number for
// both ways or two, across and down. They are rounded to the fifth decimal.
// The error is an *Error.
func ParseScale(text string) (x, y float64, err error) {
	fail := func(reason, advice string) (float64, float64, error) {
		return 0, 0, &Error{fmt.Sprintf("%q %s", text, reason), advice}
	}
	first, second, both := strings.Cut(text, ",")
	if !both {
		second = first
	}
	// Two digits before the point, or a zero before another digit, are refused:
	// 1,001 is not 1 across and 1 down.
	factor := regexp.MustCompile(`^[0-9](\.[0-9]{1,9})?$`)
	first, second = strings.TrimSpace(first), strings.TrimSpace(second)
	x, y = number(first), number(second)
	switch {
	case !factor.MatchString(first) || !factor.MatchString(second):
		return fail("is not a valid scale", "write one number with a decimal point, such as 0.998, or two for across and down, such as 0.998,1.001")
	case min(x, y) < LeastScale || max(x, y) > MostScale:
		return fail(fmt.Sprintf("is not a scale from %v to %v", LeastScale, MostScale),
			`if the printer is further off, turn "fit to page" off, print at 100 % and measure again`)
	}
	return rounded(x, 5), rounded(y, 5), nil
}
