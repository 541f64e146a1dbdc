package layouts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
	for _, s := range stocks {
		if p := s.knownPaper(); p != 0 {
			return p
		}
	}
	return Letter
}

// knownPaper is the paper that a stock comes on, 0 for another one.
func (s Stock) knownPaper() Paper {
	const slack = 0.5 // mm
	for _, p := range []Paper{A4, Letter} {
		if size := p.Size(); math.Abs(s.Paper.Width-size.Width) < slack && math.Abs(s.Paper.Height-size.Height) < slack {
			return p
		}
	}
	return 0
}

// Nearest sorts stock to offer instead of s: sheets of the paper before rolls and other
// sizes, or after them if s is one of those; sheets of other paper last. Within each, the
// nearest in label area come first.
func (s Stock) Nearest(others []Stock, paper Paper) []Stock {
	away := func(other Stock) float64 {
		return math.Abs(other.Label.Width*other.Label.Height - s.Label.Width*s.Label.Height)
	}
	foreign := func(other Stock) int {
		switch known := other.knownPaper(); {
		case known != 0 && known != paper:
			return 2
		case (known == 0) != (s.knownPaper() == 0):
			return 1
		}
		return 0
	}
	return slices.SortedStableFunc(slices.Values(others), func(a, b Stock) int {
		return cmp.Or(cmp.Compare(foreign(a), foreign(b)), cmp.Compare(away(a), away(b)))
	})
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
