package decode

import (
	"context"
	"errors"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// TestCrowdedPictures: the library's own finder of QR codes would work for ten
// seconds and more on a picture full of finder patterns.
func TestCrowdedPictures(t *testing.T) {
	page := image.NewGray(image.Rect(0, 0, 700, 700))
	for i := range page.Pix {
		page.Pix[i] = 255
	}
	require.Len(t, libraryReaders(context.Background(), pixels.NewGrey(page)), 2)
	for i := range page.Pix {
		if x, y := i%page.Stride/2%8, i/page.Stride/2%8; x < 7 && y < 7 && finderDark(x, y) {
			page.Pix[i] = 0
		}
	}
	readers := libraryReaders(context.Background(), pixels.NewGrey(page))
	require.Len(t, readers, 1)
	require.Equal(t, fit.DataMatrix, readers[0].symbol)
	require.Empty(t, ByLibrary(context.Background(), pixels.NewGrey(page), func(string) bool { return true }))
}

type result string

func (r result) GetText() string { return string(r) }

func TestCareful(t *testing.T) {
	_, ok := careful(func() (result, error) { panic("odd input") })
	require.False(t, ok)
	_, ok = careful(func() (result, error) { return "text", errors.New("no checks passed") })
	require.False(t, ok)
	_, ok = careful(func() (result, error) { return "", nil })
	require.False(t, ok, "an empty text is nothing read")
	text, ok := careful(func() (result, error) { return "text", nil })
	require.True(t, ok)
	require.Equal(t, "text", text)
}
