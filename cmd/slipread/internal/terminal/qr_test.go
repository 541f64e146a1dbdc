package terminal

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/testdata/outside"
)

// address is as long as one that opens the phone page: 70 characters.
const address = "http://192.168.100.120:8417/open/3f9c0a52d7be4816a0c3e95f7b21d84406ce1"

// texts are what is shown: an address, short ones, and one of more than ASCII.
func texts() []string {
	return []string{address, "http://10.0.0.7:8417/open/3f9c0a52", "26329001001763", "A", "Grüne Laterne"}
}

// themes are those of terminals: the plain ones, and two of soft colours.
func themes() map[string]theme {
	grey := func(y uint8) color.RGBA { return color.RGBA{y, y, y, 255} }
	return map[string]theme{
		"white on black":         {grey(229), grey(0), grey(0), grey(255)},
		"black on white":         {grey(0), grey(255), grey(0), grey(255)},
		"soft on dark":           {color.RGBA{131, 148, 150, 255}, color.RGBA{0, 43, 54, 255}, color.RGBA{7, 54, 66, 255}, color.RGBA{253, 246, 227, 255}},
		"soft on light":          {color.RGBA{101, 123, 131, 255}, color.RGBA{253, 246, 227, 255}, color.RGBA{7, 54, 66, 255}, color.RGBA{253, 246, 227, 255}},
		"white is only a grey":   {grey(229), grey(30), grey(12), grey(200)},
		"green on black, as old": {color.RGBA{0, 255, 0, 255}, grey(0), grey(0), grey(255)},
	}
}

// Every module is where it belongs, with four light ones round them.
func TestModules(t *testing.T) {
	require.Len(t, address, 70)
	for _, text := range texts() {
		drawn, err := QR(text)
		require.NoError(t, err)
		modules, err := symbol.Encode(symbol.QR, text)
		require.NoError(t, err)
		shown := show(t, themes()["white on black"], drawn)
		picture := shown.draw(t, 1, 2) // a pixel a module, three columns and four rows of the terminal before them
		require.Len(t, shown.lines, (modules.Height()+8+1)/2)
		for _, line := range shown.lines {
			require.Len(t, line, modules.Width()+8)
		}
		for y := -4; y < modules.Height()+4; y++ {
			for x := -4; x < modules.Width()+4; x++ {
				dark := picture.RGBAAt(x+4+3, y+4+4).R == 0
				require.Equal(t, modules.Dark(x, y), dark, "%q: column %d, row %d", text, x, y)
			}
		}
		require.Equal(t, shown.theme.text, shown.text, "what follows is as it was before")
		require.Equal(t, shown.theme.paper, shown.paper)
	}
}

// The size that an address takes is known to whoever makes room for it.
func TestSize(t *testing.T) {
	drawn, err := QR(address)
	require.NoError(t, err)
	lines := show(t, themes()["black on white"], drawn).lines
	require.Len(t, lines, 23, "a terminal of 24 lines shows it")
	require.Len(t, lines[0], 45)
}

// A screen is read whatever its colours, and with characters that are not quite
// twice as high as wide.
func TestRead(t *testing.T) {
	for name, on := range themes() {
		for _, size := range []image.Point{{8, 16}, {7, 15}, {9, 20}} {
			for _, text := range texts() {
				drawn, err := QR(text)
				require.NoError(t, err)
				found, err := scan.Picture(t.Context(), show(t, on, drawn).draw(t, size.X, size.Y), nil)
				require.NoError(t, err)
				require.Len(t, found, 1, "%s, %v: %q", name, size, text)
				require.Equal(t, text, found[0].Text)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	for _, test := range []struct{ text, reason string }{
		{"", "nothing"},
		{strings.Repeat("a", 3000), "more than a QR code holds"},
	} {
		drawn, err := QR(test.text)
		require.Error(t, err, test.reason)
		require.Empty(t, drawn, test.reason)
	}
}

// Readers of others read every screen, too.
func TestOutside(t *testing.T) {
	for _, test := range []struct {
		program   string
		arguments []string
		says      func(text string) string // what it prints of a text
	}{
		{"zbarimg", []string{"--quiet", "--raw", "-Sdisable", "-Sqrcode.enable"}, func(text string) string { return text + "\n" }},
		{"ZXingReader", []string{"-1", "-format", "QRCode"}, func(text string) string { return `"` + text + `"` }},
	} {
		t.Run(test.program, func(t *testing.T) {
			program := outside.Tool(t, test.program)
			folder, read := t.TempDir(), 0
			for name, on := range themes() {
				for _, text := range texts()[:4] { // ASCII, which every version prints as it is
					drawn, err := QR(text)
					require.NoError(t, err)
					read++
					path := filepath.Join(folder, fmt.Sprintf("screen%d.png", read))
					writePNG(t, path, show(t, on, drawn).draw(t, 8, 16))
					output, err := exec.Command(program, append(test.arguments, path)...).Output()
					require.NoError(t, err, "%s: %q", name, text)
					require.Contains(t, string(output), test.says(text), name)
				}
			}
			t.Logf("%s read %d of %d screens", test.program, read, len(themes())*4)
		})
	}
}

func writePNG(t *testing.T, path string, picture image.Image) {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(file, picture))
	require.NoError(t, file.Close())
}
