package layouts

import (
	"fmt"
	"math"
	"strings"
)

// Paper is a sheet of plain paper.
type Paper uint8

const (
	A4     Paper = iota + 1 // ISO 216
	Letter                  // ANSI/ASME Y14.1, A
)

// ParsePaper reads the name of a paper in any case.
func ParsePaper(name string) (Paper, error) {
	for _, p := range []Paper{A4, Letter} {
		if strings.EqualFold(name, p.String()) {
			return p, nil
		}
	}
	return 0, fmt.Errorf("%q is not a paper size: use a4 or letter", name)
}

// PaperOf returns the paper that the first stock on either comes on, and Letter
// when none does: rolls say nothing of the paper beside them.
func PaperOf(stocks ...Stock) Paper {
	const slack = 0.5 // mm
	for _, s := range stocks {
		for _, p := range []Paper{A4, Letter} {
			if size := p.Size(); math.Abs(s.Paper.Width-size.Width) < slack && math.Abs(s.Paper.Height-size.Height) < slack {
				return p
			}
		}
	}
	return Letter
}

// String returns the name, and "" for the zero Paper.
func (p Paper) String() string { return [...]string{"", "a4", "letter"}[p] }

// Size is that of the upright sheet, in mm.
func (p Paper) Size() Size {
	if p == A4 {
		return Size{210, 297}
	}
	return Size{8.5 * MillimetresPerInch, 11 * MillimetresPerInch}
}

// Page is a whole sheet as one place, under the name of what is printed.
func Page(name string, paper Size) Stock { return single(name, Sheet, paper) }
