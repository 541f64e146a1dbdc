package main

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/testdata/browser"
)

// TestBrowserPictures takes the pictures of the manuals, with -update only.
func TestBrowserPictures(t *testing.T) {
	if !*update {
		t.Skip("with -update it takes the pictures of the manuals")
	}
	settings := filepath.Join(t.TempDir(), "settings.toml")
	require.NoError(t, os.WriteFile(settings, nil, 0o600))
	t.Setenv(command.SettingsVariable, settings)
	b := browser.Start(t)
	h := houseOf(t,
		records.Draft{Date: seasonDay(), Variety: "Lantern Heron", Stock: "Quay Briar", Grafts: 72, TraySize: 18, Source: "House bed 4", Grafter: "OR"},
		records.Draft{Date: seasonDay(), Variety: "Slate Minuet", Stock: "Quay Briar", Grafts: 20},
		records.Draft{Date: seasonDay().AddDate(0, 0, 6), Variety: "Paper Lark", Stock: "Fen Hedge", Grafts: 30, TraySize: 10},
	)
	at := h.clock.now().AddDate(0, 0, -2)
	h.log(
		records.Entry{Key: "1", At: at, By: "Ivo", Unit: h.tray(2), Counts: records.Counts{Alive: records.Said(17), Growing: records.Said(13), Dead: records.Said(1)}},
		records.Entry{Key: "2", At: at, By: "Ivo", Unit: h.batches[1].Code, Counts: records.Counts{Alive: records.Said(18), Growing: records.Said(4)}},
	)
	s := h.serve("127.0.0.1:0", "--nursery", "Low Ferry Grafts")
	p := h.phone(b, s, "", "Ivo")
	p.Screen(browser.Width, browser.Height, 1.5)
	for _, picture := range []struct{ name, path, scheme, to string }{
		{"phone-scan", "/scan", "light", ""},
		{"phone-record", recordAt(h.tray(2)), "light", ""},
		{"phone-due", "/due", "light", ""},
		{"phone-bed", "/bed", "light", ""},
		{"phone-entry", recordAt(h.tray(2)), "dark", "#enter"},
	} {
		p.Scheme(picture.scheme)
		p.Open(picture.path)
		if picture.to != "" {
			browser.Eval[bool](p, "(document.querySelector('"+picture.to+"').scrollIntoView(), true)")
		}
		content := fewColours(t, p.Picture())
		require.Less(t, len(content), 60_000, picture.name)
		require.NoError(t, os.WriteFile(filepath.Join("..", "..", "testdata", "pictures", picture.name+".png"), content, 0o644))
	}
}

// fewColours writes a picture with the 128 colours that it has most of, so that
// its file is small.
func fewColours(t *testing.T, content []byte) []byte {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(content))
	require.NoError(t, err)
	count := map[color.RGBA]int{}
	for y := range picture.Bounds().Dy() {
		for x := range picture.Bounds().Dx() {
			count[color.RGBAModel.Convert(picture.At(x, y)).(color.RGBA)]++
		}
	}
	most := slices.SortedFunc(maps.Keys(count), func(a, b color.RGBA) int { return cmp.Compare(count[b], count[a]) })
	var palette color.Palette
	for _, one := range most[:min(len(most), 128)] {
		palette = append(palette, one)
	}
	few := image.NewPaletted(picture.Bounds(), palette)
	draw.Draw(few, few.Rect, picture, image.Point{}, draw.Src)
	var file bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&file, few))
	return file.Bytes()
}
