package proof

import (
	"math"

	"graftslip/codes/scan"
	"graftslip/layouts"
)

// drawable returns the resolution at which a page of paper is drawn: dpi, or
// the largest whole part of it that scan.MaxPixels allow. A printer dot is then
// a whole part of a pixel.
func drawable(paper layouts.Size, dpi float64) float64 {
	pixels := func(mm, dpi float64) float64 { return math.Ceil(mm / layouts.MillimetresPerInch * dpi) }
	n := 1.0
	for pixels(paper.Width, dpi/n)*pixels(paper.Height, dpi/n) > scan.MaxPixels {
		n++
	}
	return dpi / n
}
