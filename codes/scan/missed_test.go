package scan

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMissedInWords(t *testing.T) {
	within := image.Rect(-10, 0, 290, 300)
	at := func(x, y int) image.Rectangle { return image.Rect(x-10, y-10, x+10, y+10) }
	for _, test := range []struct {
		missed     Missed
		text, hint string
		why        string
	}{
		{Missed{Symbol: QR, Reason: TooSmall, Sight: Sight{Place: at(20, 20), Module: 1.44}},
			"a QR code is seen at the upper left, but too small: 1.4 pixels a module", "take the picture from nearer by", "it says how small"},
		{Missed{Symbol: DataMatrix, Reason: Blurred, Sight: Sight{Place: at(150, 150)}},
			"a Data Matrix is seen in the middle, but blurred", "hold still, give it light, and let the camera focus on the code", "another picture helps"},
		{Missed{Symbol: Code128, Reason: CutOff, Sight: Sight{Place: at(285, 290)}},
			"a bar code is seen at the lower right, but cut off by the edge of the picture", "take the whole code into the picture", "the corner of the picture"},
		{Missed{Symbol: QR, Reason: Unclear, Sight: Sight{Place: at(400, 150)}},
			"something like a QR code is seen on the right and cannot be read", "wipe it, take it straight on and out of glare and shadow, or type the code", "a place beyond the edge counts to it"},
	} {
		e := &MissedError{test.missed, within}
		require.EqualError(t, e, test.text, test.why)
		require.Equal(t, test.hint, e.Hint(), test.why)
	}
	require.Equal(t, "too-small", TooSmall.String())
}
