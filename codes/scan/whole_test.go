package scan

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWholePictureTries(t *testing.T) {
	yes := func(string) bool { return true }
	for _, kind := range []string{QR, DataMatrix} {
		page := canvas(150, 130)
		drawSymbol(page, pattern(t, kind, labelCode(5)), image.Pt(40, 30), 3, 0, false)
		for _, picture := range []*image.Gray{page, faded(page, 255, 0)} {
			finds := readWhole(context.Background(), newGrey(picture), yes)
			require.Len(t, finds, 1)
			require.Equal(t, labelCode(5), finds[0].text)
			require.Equal(t, kind, finds[0].symbol)
			require.Equal(t, page.Rect, finds[0].box(newGrey(picture)))
			require.Zero(t, finds[0].module, "it is not known")
		}
		require.Empty(t, readWhole(context.Background(), newGrey(page), func(string) bool { return false }))
		ended, cancel := context.WithCancel(context.Background())
		cancel()
		require.Empty(t, readWhole(ended, newGrey(page), yes))
	}
}

// TestCrowdedPictures: the library's own finder of QR codes would work for ten
// seconds and more on a picture full of finder patterns.
func TestCrowdedPictures(t *testing.T) {
	page := canvas(700, 700)
	require.Len(t, wholeReaders(context.Background(), newGrey(page)), 2)
	for i := range page.Pix {
		if x, y := i%page.Stride/2%8, i/page.Stride/2%8; x < 7 && y < 7 && finderDark(x, y) {
			page.Pix[i] = 0
		}
	}
	readers := wholeReaders(context.Background(), newGrey(page))
	require.Len(t, readers, 1)
	require.Equal(t, DataMatrix, readers[0].symbol)
	founds, err := Picture(context.Background(), page, nil)
	require.NoError(t, err)
	require.Empty(t, founds)
}
