package scan

import (
	"context"
	"image"
	"image/draw"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"
	"graftslip/testdata/long"
)

// labelPicture is a label with a symbol of so many pixels a module, in a dark
// scene, turned by a few degrees.
func labelPicture(t *testing.T, kind string, module float64) *image.Gray {
	const fine = 12
	page := canvas(230*fine, 90*fine)
	drawSymbol(page, pattern(t, kind, labelCode(7)), image.Pt(50*fine, 30*fine), fine, 30*fine, false)
	label := warped(page, 4, module/fine, pixels.Pt(0.3, 0.4))
	scene := image.NewGray(image.Rect(0, 0, label.Rect.Dx()+400, label.Rect.Dy()+300))
	for i := range scene.Pix {
		scene.Pix[i] = 60
	}
	draw.Draw(scene, label.Rect.Add(image.Pt(200, 150)), label, image.Point{}, draw.Src)
	return scene
}

// foundOne is the one symbol on a picture that can be read.
func foundOne(t *testing.T, picture image.Image) Found {
	reading, err := Photograph(context.Background(), picture, func(text string) bool { return text == labelCode(7) })
	require.NoError(t, err)
	require.Len(t, reading.Found, 1)
	require.Empty(t, reading.Missed)
	return reading.Found[0]
}

// TestMissed takes pictures of a symbol that cannot be read and asks why. What
// is too far away or cut off may look like nothing at all: a reason is told, if
// any, only when it is the right one. The short form asks for each reason once.
func TestMissed(t *testing.T) {
	if testing.Short() {
		t.Skip("searches twelve pictures in vain")
	}
	t.Parallel()
	for _, kind := range kinds() {
		good := labelPicture(t, kind, 4)
		place := foundOne(t, good).Place
		for _, test := range []struct {
			name    string
			picture image.Image
			want    Reason
			told    []string // kinds for which it must be told
			brief   string   // the kind that the short form takes
			why     string
		}{
			{"small", labelPicture(t, kind, map[string]float64{QR: 0.9, DataMatrix: 0.9, Code128: 0.6}[kind]), TooSmall, []string{QR}, QR, "from too far away"},
			{"blurred", blurred(good, map[string]float64{QR: 3.6, DataMatrix: 3.6, Code128: 4.5}[kind]), Blurred, kinds(), QR, "out of focus by a module"},
			{"cut off", good.SubImage(image.Rect(0, 0, place.Max.X-place.Dx()*45/100, good.Rect.Max.Y)), CutOff, []string{QR, Code128}, Code128, "nearly half is beyond the edge"},
			{"covered", overlaid(good, place), Unclear, kinds(), DataMatrix, "a third of it is covered, with half of its codewords"},
		} {
			if kind != test.brief && !long.Form() {
				continue
			}
			reading, err := Photograph(context.Background(), test.picture, func(text string) bool { return text == labelCode(7) })
			require.NoError(t, err)
			require.Empty(t, reading.Found, "%s, %s", kind, test.name)
			if slices.Contains(test.told, kind) {
				require.Len(t, reading.Missed, 1, "%s, %s: %s", kind, test.name, test.why)
			}
			for _, m := range reading.Missed {
				require.Equal(t, test.want, m.Reason, "%s, %s: %s", kind, test.name, test.why)
				require.True(t, m.Place.Overlaps(place) || test.want == TooSmall, "%s, %s: where it is", kind, test.name)
			}
		}
	}
}

// Beside labels that are read, one that is covered is told.
func TestMissedBesideOthers(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds() {
		label := labelPicture(t, kind, 4)
		w, h := label.Rect.Dx(), label.Rect.Dy()
		place := foundOne(t, label).Place
		both := image.NewGray(image.Rect(0, 0, w, 2*h))
		draw.Draw(both, label.Rect, label, image.Point{}, draw.Src)
		draw.Draw(both, label.Rect.Add(image.Pt(0, h)), overlaid(label, place), image.Point{}, draw.Src)
		reading, err := Photograph(context.Background(), both, func(text string) bool { return text == labelCode(7) })
		require.NoError(t, err)
		require.Len(t, reading.Found, 1, kind)
		require.Len(t, reading.Missed, 1, kind)
		require.True(t, reading.Missed[0].Place.Overlaps(place.Add(image.Pt(0, h))), kind)
	}
}

// overlaid covers a third of a place.
func overlaid(picture *image.Gray, place image.Rectangle) *image.Gray {
	result := image.NewGray(picture.Rect)
	copy(result.Pix, picture.Pix)
	middle := image.Rect(place.Min.X+place.Dx()*33/100, place.Min.Y, place.Min.X+place.Dx()*67/100, place.Max.Y)
	draw.Draw(result, middle, image.NewUniform(image.Black), image.Point{}, draw.Src)
	return result
}
