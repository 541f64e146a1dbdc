package scan

import (
	"context"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"
)

// textsOf lists the texts of finds.
func textsOf(founds []Found) []string {
	var texts []string
	for _, f := range founds {
		texts = append(texts, f.Text)
	}
	return texts
}

// requireNear: a place is that of the symbol, to a few pixels; bars are known
// along their length only to the blocks that they are looked for in.
func requireNear(t *testing.T, kind string, want, got image.Rectangle) {
	t.Helper()
	slack := 2
	if kind == Code128 {
		slack = 2 * pixels.Block
	}
	require.True(t, got.In(want.Inset(-slack)) && want.Inset(slack).In(got), "%s: printed at %v, found at %v", kind, want, got)
}

func TestSheets(t *testing.T) {
	t.Parallel()
	turned := smallLabels(Code128, 300, 3, true)
	turned.columns, turned.rows = 3, 8
	turned.label, turned.pitch, turned.corner = [2]float64{70, 37}, [2]float64{70, 37}, [2]float64{0, 0.5}
	narrow := smallLabels(Code128, 203.2, 2, true)
	narrow.columns, narrow.rows = 3, 8
	narrow.label, narrow.pitch, narrow.corner = turned.label, turned.pitch, turned.corner
	one := smallLabels(QR, 300, 3, false)
	one.width, one.height, one.columns, one.rows, one.corner = 38.1, 21.2, 1, 1, [2]float64{0, 0}
	for _, test := range []struct {
		name, reason string
		plan         sheetPlan
	}{
		{"qr 300 dpi", "the usual module, 0.254 mm", smallLabels(QR, 300, 3, false)},
		{"qr 300 dpi wide", "the module that is printed when there is room, 0.339 mm", smallLabels(QR, 300, 4, false)},
		{"qr 203 dpi", "two dots a module is the least that a label printer can print", smallLabels(QR, 203.2, 2, false)},
		{"qr 600 dpi", "a page of 35 megapixels", smallLabels(QR, 600, 6, false)},
		{"datamatrix 300 dpi", "its quiet zone is one module, so text stands next to it", smallLabels(DataMatrix, 300, 3, false)},
		{"datamatrix 203 dpi", "28 dots in all", smallLabels(DataMatrix, 203.2, 2, false)},
		{"code128 300 dpi", "text right above and below", smallLabels(Code128, 300, 3, false)},
		{"code128 203 dpi", "bars of two dots", smallLabels(Code128, 203.2, 2, false)},
		{"code128 300 dpi turned", "a ladder, for a label round a stem", turned},
		{"code128 203 dpi turned", "a ladder of two dots", narrow},
		{"one label", "a picture of one label, straight on", one},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := test.plan.draw(t)
			start := time.Now()
			founds, err := Picture(context.Background(), s.page, nil)
			took := time.Since(start)
			require.NoError(t, err, test.reason)
			// Reading order is the order of the labels, so the lists are equal.
			require.Equal(t, s.texts, textsOf(founds), test.reason)
			for i, f := range founds {
				require.Equal(t, test.plan.kind, f.Symbol)
				requireNear(t, f.Symbol, s.places[i], f.Place)
			}
			t.Logf("%d × %d pixels, %d of %d read, 0 wrong, %d ms", s.page.Rect.Dx(), s.page.Rect.Dy(), len(founds), len(s.texts), took.Milliseconds())
		})
	}
}

// TestSymbolsOfAllSizes reads symbols that are not ours: longer texts, letters,
// other versions and sizes, at several scales and angles.
func TestSymbolsOfAllSizes(t *testing.T) {
	t.Parallel()
	address := "https://example.org/" + strings.Repeat("aB3/", 70)
	for _, test := range []struct {
		reason string
		make   func(text string) (barcode.Barcode, error)
		text   string
	}{
		{"version 1, the smallest", func(s string) (barcode.Barcode, error) { return qr.Encode(s, qr.L, qr.Numeric) }, "26329"},
		{"version 3", func(s string) (barcode.Barcode, error) { return qr.Encode(s, qr.M, qr.Unicode) }, address[:40]},
		{"version 13: a large symbol is sampled by three corners alone", func(s string) (barcode.Barcode, error) { return qr.Encode(s, qr.M, qr.Unicode) }, address},
		{"10 × 10, the smallest", datamatrix.Encode, "263290"},
		{"36 × 36: four regions", datamatrix.Encode, address[:80]},
		{"72 × 72: sixteen regions", datamatrix.Encode, address},
		{"one letter", func(s string) (barcode.Barcode, error) { return code128.Encode(s) }, "A"},
		{"code sets B and C", func(s string) (barcode.Barcode, error) { return code128.Encode(s) }, "26329-004-0017-42 / abc DEF"},
	} {
		b, err := test.make(test.text)
		require.NoError(t, err, test.reason)
		for _, view := range []struct{ degrees, module float64 }{{0, 2}, {2, 3}, {33, 5}, {90, 3}, {135, 4}, {180, 9}} {
			page := canvas(b.Bounds().Dx()*8+200, max(b.Bounds().Dy(), 50)*8+200)
			drawSymbol(page, b, image.Pt(100, 100), 8, 400, false)
			founds, err := Picture(context.Background(), warped(page, view.degrees, view.module/8, pixels.Pt(0.3, 0.4)), nil)
			require.NoError(t, err)
			require.Equal(t, []string{test.text}, textsOf(founds), "%s, at %v° and %v pixels a module", test.reason, view.degrees, view.module)
		}
	}
}

// mixedPage has one symbol of each kind, one of them twice, in known places.
func mixedPage(t *testing.T) (*image.Gray, []Found) {
	page := canvas(900, 500)
	founds := []Found{
		{Text: labelCode(1), Symbol: QR, Sight: Sight{Place: image.Rect(60, 50, 60+21*3, 50+21*3), Module: 3}},
		{Text: labelCode(2), Symbol: DataMatrix, Sight: Sight{Place: image.Rect(300, 60, 300+14*3, 60+14*3), Module: 3}},
		{Text: labelCode(1), Symbol: QR, Sight: Sight{Place: image.Rect(600, 55, 600+21*4, 55+21*4), Module: 4}},
		{Text: labelCode(1), Symbol: Code128, Sight: Sight{Place: image.Rect(200, 300, 200+112*3, 300+60), Module: 3}},
	}
	for _, f := range founds {
		drawSymbol(page, pattern(t, f.Symbol, f.Text), f.Place.Min, int(f.Module), 60, false)
	}
	return page, founds
}

func TestPictureGivesEachSymbolOnceInReadingOrder(t *testing.T) {
	page, want := mixedPage(t)
	got, err := Picture(context.Background(), page, nil)
	require.NoError(t, err)
	require.Len(t, got, len(want))
	for i := range want {
		requireNear(t, want[i].Symbol, want[i].Place, got[i].Place)
		require.InEpsilon(t, want[i].Module, got[i].Module, 0.03)
		got[i].Sight = want[i].Sight
	}
	require.Equal(t, want, got)
}

func TestPictureTakesOnlyWhatIsWanted(t *testing.T) {
	page, _ := mixedPage(t)
	var at atomic.Int32 // how many goroutines ask at this moment
	got, err := Picture(context.Background(), page, func(text string) bool {
		defer at.Add(-1)
		require.EqualValues(t, 1, at.Add(1), "one goroutine at a time asks")
		runtime.Gosched()
		return text == labelCode(2)
	})
	require.NoError(t, err)
	require.Equal(t, []string{labelCode(2)}, textsOf(got))

	got, err = Picture(context.Background(), page, func(string) bool { return false })
	require.NoError(t, err)
	require.Empty(t, got)
}

// TestPictureOfEveryType reads the same page from each of the standard
// library's kinds of picture, with its corner elsewhere than at zero.
func TestPictureOfEveryType(t *testing.T) {
	page, want := mixedPage(t)
	corner := image.Pt(-30, 70)
	box := page.Rect.Add(corner)
	palette := color.Palette{color.Black, color.White, color.NRGBA{R: 200, A: 255}}
	for _, picture := range []draw.Image{
		image.NewGray(box), image.NewGray16(box), image.NewRGBA(box), image.NewNRGBA(box), image.NewRGBA64(box),
		image.NewNRGBA64(box), image.NewCMYK(box), image.NewPaletted(box, palette),
	} {
		draw.Draw(picture, box, page, image.Point{}, draw.Src)
		got, err := Picture(context.Background(), picture, nil)
		require.NoError(t, err)
		require.Len(t, got, len(want), "%T", picture)
		for i := range want {
			require.Equal(t, want[i].Text, got[i].Text, "%T", picture)
			requireNear(t, want[i].Symbol, want[i].Place.Add(corner), got[i].Place)
		}
	}
	// Print on a transparent ground counts as print on white.
	clear := image.NewNRGBA(box)
	for y := range page.Rect.Dy() {
		for x := range page.Rect.Dx() {
			clear.SetNRGBA(x+corner.X, y+corner.Y, color.NRGBA{A: 255 - page.GrayAt(x, y).Y})
		}
	}
	got, err := Picture(context.Background(), clear, nil)
	require.NoError(t, err)
	require.Len(t, got, len(want))
	part := asGray(throughJPEG(t, page, 90)).SubImage(image.Rect(250, 0, 500, 200))
	got, err = Picture(context.Background(), part, nil)
	require.NoError(t, err)
	require.Equal(t, []string{labelCode(2)}, textsOf(got))
	requireNear(t, DataMatrix, want[1].Place, got[0].Place)
}

func TestPictureStopsWithItsContext(t *testing.T) {
	page, _ := mixedPage(t)
	reason := errors.New("the person has gone")
	ctx, cancel := context.WithCancelCause(context.Background())
	cancel(reason)
	got, err := Picture(ctx, page, nil)
	require.ErrorIs(t, err, reason)
	require.Empty(t, got)

	// Stopped in the midst, it gives what it has found until then.
	for _, kind := range kinds() {
		s := smallLabels(kind, 203.2, 2, false).draw(t)
		ctx, cancel := context.WithCancelCause(context.Background())
		asked := 0
		got, err := Picture(ctx, s.page, func(string) bool {
			if asked++; asked == 10 {
				cancel(reason)
			}
			return true
		})
		require.ErrorIs(t, err, reason)
		require.NotEmpty(t, got, kind)
		require.Less(t, len(got), 20, kind)
		require.Subset(t, s.texts, textsOf(got))
	}
}

func TestPictureTooSmall(t *testing.T) {
	for _, size := range []image.Point{{}, {1, 1}, {15, 400}, {400, 15}, {16, 16}, {17, 31}} {
		got, err := Picture(context.Background(), canvas(size.X, size.Y), nil)
		require.NoError(t, err, "%v", size)
		require.Empty(t, got)
		got, err = Picture(context.Background(), noisy(canvas(size.X, size.Y), 200, 1), nil)
		require.NoError(t, err, "%v", size)
		require.Empty(t, got)
	}
}
