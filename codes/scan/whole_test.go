package scan

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/pixels"
)

func TestWholePictureTries(t *testing.T) {
	yes := func(string) bool { return true }
	for _, kind := range []string{QR, DataMatrix} {
		page := canvas(150, 130)
		drawSymbol(page, pattern(t, kind, labelCode(5)), image.Pt(40, 30), 3, 0, false)
		for _, picture := range []*image.Gray{page, faded(page, 255, 0)} {
			finds := decode.ByLibrary(context.Background(), pixels.NewGrey(picture), yes)
			require.Len(t, finds, 1)
			require.Equal(t, labelCode(5), finds[0].Text)
			require.Equal(t, kind, finds[0].Symbol)
			require.Equal(t, page.Rect, boxOf(finds[0], pixels.NewGrey(picture)))
			require.Zero(t, finds[0].Module, "it is not known")
		}
		require.Empty(t, decode.ByLibrary(context.Background(), pixels.NewGrey(page), func(string) bool { return false }))
		ended, cancel := context.WithCancel(context.Background())
		cancel()
		require.Empty(t, decode.ByLibrary(ended, pixels.NewGrey(page), yes))
	}
}
