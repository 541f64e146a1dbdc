package proof

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/layouts"
)

// TestDrawable: a page is drawn as finely as its dots, or as a whole number of
// them, within the limit.
func TestDrawable(t *testing.T) {
	for _, test := range []struct {
		stock string
		dpi   float64
		want  float64
	}{
		{"letter-2x10", 300, 300}, {"letter-2x10", 1000, 1000},
		{"letter-2x10", 1200, 600}, // 10200 × 13200 pixels are more than 100 megapixels, which 5100 × 6600 are not
		{"letter-2x10", 2400, 800}, // 10200 × 13200 again at a half
		{"strip-25x200", 2400, 2400},
	} {
		stock, err := layouts.Lookup(test.stock)
		require.NoError(t, err)
		require.InDelta(t, test.want, drawable(stock.Paper, test.dpi), 1e-9, "%s at %v dpi", test.stock, test.dpi)
	}
	for dpi := 100.0; dpi <= labels.MostDPI; dpi += 7 {
		for _, paper := range []layouts.Size{{Width: 215.9, Height: 279.4}, {Width: 2000, Height: 1000}} {
			drawn := drawable(paper, dpi)
			n := math.Round(dpi / drawn)
			require.InDelta(t, dpi, drawn*n, 1e-6)
			pixels := func(dpi float64) float64 {
				return math.Ceil(paper.Width/25.4*dpi) * math.Ceil(paper.Height/25.4*dpi)
			}
			require.LessOrEqual(t, pixels(drawn), float64(scan.MaxPixels))
			if n > 1 {
				require.Greater(t, pixels(dpi/(n-1)), float64(scan.MaxPixels), "a finer one would do")
			}
		}
	}
}
