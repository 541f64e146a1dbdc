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
			"a QR code at the upper left is too small to read: 1.4 pixels per module", "take the picture from closer up", "it says how small"},
		{Missed{Symbol: DataMatrix, Reason: Blurred, Sight: Sight{Place: at(150, 150)}},
			"a Data Matrix in the middle is blurred", "hold still, add light, and let the camera focus on the code", "another picture helps"},
		{Missed{Symbol: Code128, Reason: CutOff, Sight: Sight{Place: at(285, 290)}},
			"a bar code at the lower right is cut off by the edge of the picture", "get the whole code into the picture", "the corner of the picture"},
		{Missed{Symbol: QR, Reason: Unclear, Sight: Sight{Place: at(400, 150)}},
			"what looks like a QR code on the right cannot be read", "wipe it, take the picture straight on, out of glare and shadow, or type the code", "a place beyond the edge counts to it"},
	} {
		e := &MissedError{test.missed, within}
		require.EqualError(t, e, test.text, test.why)
		require.Equal(t, test.hint, e.Hint(), test.why)
	}
	require.Equal(t, "too-small", TooSmall.String())
}
