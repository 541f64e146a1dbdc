package main

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

// A picture taken with a phone held upright lies in its file, and says so. It is
// marked as the person sees it: upright, with the code in its corner.
func TestMarkTurnedPicture(t *testing.T) {
	const text, module = "26330001000161", 4
	code, err := symbol.Encode(symbol.QR, text)
	require.NoError(t, err)
	upright := image.NewRGBA(image.Rect(0, 0, 300, 420))
	draw.Draw(upright, upright.Rect, image.White, image.Point{}, draw.Src)
	place := image.Rectangle{Max: image.Pt(code.Width(), code.Height()).Mul(module)}.Add(image.Pt(40, 48))
	for y := range place.Dy() {
		for x := range place.Dx() {
			if code.Dark(x/module, y/module) {
				upright.Set(place.Min.X+x, place.Min.Y+y, color.Black)
			}
		}
	}
	// The first row of what lies in the file is the right side, the first column the top.
	lying := image.NewRGBA(image.Rect(0, 0, upright.Rect.Dy(), upright.Rect.Dx()))
	for y := range upright.Rect.Dy() {
		for x := range upright.Rect.Dx() {
			lying.Set(y, upright.Rect.Dx()-1-x, upright.At(x, y))
		}
	}
	var plain bytes.Buffer
	require.NoError(t, jpeg.Encode(&plain, lying, &jpeg.Options{Quality: 95}))
	exif := "\xff\xe1\x00\x22Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"
	b := newBench(t)
	require.NoError(t, os.WriteFile(b.picture, slices.Concat(plain.Bytes()[:2], []byte(exif), plain.Bytes()[2:]), 0o666))

	out := filepath.Join(b.folder, "seen.png")
	status, stdout, stderr := slipread(t, b.picture, "--mark", out, "--ledger", b.book)
	require.Zero(t, status, stderr)
	require.Contains(t, stdout, "26330-001-0001-61")

	file, err := os.Open(out)
	require.NoError(t, err)
	defer file.Close()
	marked, err := png.Decode(file)
	require.NoError(t, err)
	require.Equal(t, upright.Rect, marked.Bounds())
	founds, err := scan.Picture(t.Context(), marked, nil)
	require.NoError(t, err)
	require.Len(t, founds, 1)
	require.Equal(t, text, founds[0].Text)
	require.True(t, founds[0].Place.In(place.Inset(-2)) && place.Inset(2).In(founds[0].Place), "%v, drawn at %v", founds[0].Place, place)
	line := 0 // pixels of the outline just round the symbol
	for y := place.Min.Y; y < place.Max.Y; y++ {
		for x := place.Min.X - 3*module; x < place.Min.X; x++ {
			if r, _, blue, _ := marked.At(x, y).RGBA(); blue > r+0x4000 {
				line++
				break
			}
		}
	}
	require.Greater(t, line, place.Dy()*9/10, "the outline stands beside the upright symbol")
}
