package proof

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/layouts"
)

// TestStretch: a text that runs to the right and the same one turned have the
// same stretches without ink and of black.
func TestStretch(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 60, 60))
	for i := range picture.Pix {
		picture.Pix[i] = white
	}
	black := func(box image.Rectangle) {
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				picture.Pix[picture.PixOffset(x, y)] = 0
			}
		}
	}
	box := image.Rect(5, 5, 45, 11)
	black(image.Rect(5, 5, 12, 11)) // wholly black for 7 lines
	black(image.Rect(20, 5, 24, 8)) // by half for 4, behind 8 without ink and before 21
	for range 2 {
		lines := profile(picture, box)
		require.Len(t, lines, 40)
		require.Equal(t, 7, longestRun(lines, func(ink float64) bool { return ink >= blackLine }))
		require.Equal(t, 21, longestRun(lines, func(ink float64) bool { return ink <= blankLine }))
		require.InDelta(t, 0.5, lines[16], 1e-12)
		turned := image.NewGray(picture.Rect)
		for y := range 60 {
			for x := range 60 {
				turned.SetGray(y, x, picture.GrayAt(x, y))
			}
		}
		picture, box = turned, image.Rect(5, 5, 11, 45)
	}
	require.Zero(t, longestRun(nil, func(float64) bool { return true }))
	require.Empty(t, profile(picture, image.Rectangle{}))
}

// TestHiddenShortTexts: of a text of few letters it counts that there is ink at
// all, since a single l, or a dash, is as dark as its box.
func TestHiddenShortTexts(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 60, 60))
	for i := range picture.Pix {
		picture.Pix[i] = white
	}
	p := newProof(Check{}, labels.Setup{Stock: layouts.Catalogue()[0], DPI: 300}, 300)
	l := label{picture: picture, texts: []string{"––"}, boxes: []image.Rectangle{image.Rect(10, 10, 30, 12)}}
	require.ErrorContains(t, p.hidden(l), "cannot be seen")
	for i := range 20 {
		picture.Pix[picture.PixOffset(10+i, 10)], picture.Pix[picture.PixOffset(10+i, 11)] = 0, 0
	}
	require.Nil(t, p.hidden(l))
	l.boxes[0] = image.Rect(70, 10, 90, 12) // beside the page
	require.ErrorContains(t, p.hidden(l), "cannot be seen")
}

func TestLettered(t *testing.T) {
	for text, want := range map[string]bool{"‘Marlpit Hedge’": true, "M 26": true, "Żółć": true, "spare": true, "I’": false, "____ – .....": false, "": false} {
		require.Equal(t, want, lettered(text), text)
	}
}

func TestDarkness(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 10, 10)) // black
	for i := range 80 {
		picture.Pix[i] = white
	}
	for x := range 10 {
		picture.Pix[picture.PixOffset(x, 8)] = 60
	}
	ink, dark := darkness(picture, image.Rect(0, 0, 10, 20))
	require.InDelta(t, (10+10*195.0/255)/100, ink, 1e-12)
	require.InDelta(t, 0.2, dark, 1e-12)
	ink, dark = darkness(picture, image.Rect(50, 50, 60, 60))
	require.Zero(t, ink)
	require.Zero(t, dark)
}
