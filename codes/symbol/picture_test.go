package symbol

import (
	"fmt"
	"image"
	"image/color"
	paint "image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/oned"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

const (
	pixels  = 4  // to a module
	barTall = 60 // pixels, of a Code 128
)

// picture draws m with its quiet zone and nothing more.
func picture(m Modules) *image.Gray {
	columns, rows := m.withQuiet()
	x, y := m.Quiet()
	tall := pixels
	if m.Kind() == Code128 {
		tall = barTall
	}
	page := image.NewGray(image.Rect(0, 0, columns*pixels, rows*tall))
	paint.Draw(page, page.Bounds(), image.White, image.Point{}, paint.Src)
	for row := range m.Height() {
		for column := range m.Width() {
			if m.Dark(column, row) {
				at := image.Rect(column+x, row+y, column+x+1, row+y+1)
				at = image.Rect(at.Min.X*pixels, at.Min.Y*tall, at.Max.X*pixels, at.Max.Y*tall)
				paint.Draw(page, at, image.NewUniform(color.Black), image.Point{}, paint.Src)
			}
		}
	}
	return page
}

// longer returns texts that are no codes: what else a symbol may have to hold.
func longer(kind Kind) []string {
	texts := []string{
		"0", "1234567", "26329-004-0017-63", "HELLO WORLD $%*+-./:", "Batch 4, tray 2 of 7 (north bench)",
		strings.Repeat("0123456789", 7),
	}
	if kind == QR {
		texts = append(texts, "Käthe’s ‘Rote Wanne’ × Σίβυλλα / Снежинка", "http://bench.example/26329004001763", strings.Repeat("Long text. ", 60))
	}
	if kind == DataMatrix {
		texts = append(texts, strings.Repeat("Long text. ", 20))
	}
	return texts
}

// Whole pictures go through whole readers: they have to find the symbol first.
//
// The QR reader used here looks for finder patterns and now and then takes a
// part of the data for one, about once in a hundred at this scale and in
// pictures without a fault; other readers find those symbols too. Told that
// the picture holds nothing but the symbol, it reads them all.
func TestPicturesAreRead(t *testing.T) {
	readers := map[Kind]func() gozxing.Reader{
		QR:         qrcode.NewQRCodeReader,
		DataMatrix: func() gozxing.Reader { return datamatrix.NewDataMatrixReader() },
		Code128:    oned.NewCode128Reader,
	}
	for _, kind := range kinds() {
		texts := append(randomDigits(200, 14, 7), longer(kind)...)
		notFound := 0
		for _, text := range texts {
			page := picture(encoded(t, kind, text))
			result, err := decoded(t, readers[kind](), page, nil)
			if err != nil && kind == QR {
				notFound++
				result, err = decoded(t, readers[kind](), page, map[gozxing.DecodeHintType]any{
					gozxing.DecodeHintType_PURE_BARCODE: true,
				})
			}
			require.NoError(t, err, "%s %q", kind, text)
			require.Equal(t, text, result.GetText(), kind)
		}
		t.Logf("%s: read %d of %d pictures, %d of them only when told that there is nothing else", kind, len(texts), len(texts), notFound)
		require.Less(t, notFound, len(texts)/25)
	}
}

func decoded(t *testing.T, reader gozxing.Reader, page image.Image, hints map[gozxing.DecodeHintType]any) (*gozxing.Result, error) {
	t.Helper()
	bitmap, err := gozxing.NewBinaryBitmapFromImage(page)
	require.NoError(t, err)
	return reader.Decode(bitmap, hints)
}

// pictures writes one file a text, and returns their names in order.
func pictures(t *testing.T, kind Kind, texts []string) []string {
	t.Helper()
	folder := t.TempDir()
	names := make([]string, len(texts))
	for i, text := range texts {
		names[i] = filepath.Join(folder, fmt.Sprintf("%03d.png", i))
		file, err := os.Create(names[i])
		require.NoError(t, err)
		require.NoError(t, png.Encode(file, picture(encoded(t, kind, text))))
		require.NoError(t, file.Close())
	}
	return names
}

// lines runs a reader over all pictures at once and returns its lines.
func lines(t *testing.T, program string, arguments ...string) []string {
	t.Helper()
	output, err := exec.Command(program, arguments...).Output()
	require.NoError(t, err)
	return strings.Split(strings.TrimRight(string(output), "\r\n"), "\n")
}

func TestOutsideReadersAgree(t *testing.T) {
	for _, test := range []struct {
		program string
		kind    Kind
		read    func(t *testing.T, program string, names []string) []string
	}{
		{"zbarimg", QR, zbar("qrcode")},
		{"zbarimg", Code128, zbar("code128")},
		{"dmtxread", DataMatrix, func(t *testing.T, program string, names []string) []string {
			return lines(t, program, append([]string{"-n", "-N1"}, names...)...)
		}},
		{"ZXingReader", QR, zxing("QRCode")},
		{"ZXingReader", DataMatrix, zxing("DataMatrix")},
		{"ZXingReader", Code128, zxing("Code128")},
	} {
		t.Run(test.program+" "+test.kind.String(), func(t *testing.T) {
			program := outside.Tool(t, test.program)
			texts := append(randomDigits(60, 14, 8), code, "1234567", "26329-004-0017-63", "Batch 4, tray 2 of 7 (north bench)")
			if test.kind == QR { // UTF-8, which readers guess wrongly unless the symbol says so
				texts = append(texts, "Käthe", "é", "日本", "Rosa × alba 2", "Çayır ğ", "ñandú", "ß", "‘Rote Wanne’ × Σίβυλλα / Снежинка")
			}
			got := test.read(t, program, pictures(t, test.kind, texts))
			require.Equal(t, texts, got)
			t.Logf("%s read %d of %d %s symbols", test.program, len(got), len(texts), test.kind)
		})
	}
}

func zbar(symbology string) func(*testing.T, string, []string) []string {
	return func(t *testing.T, program string, names []string) []string {
		arguments := []string{"--quiet", "--raw", "-Sdisable", "-S" + symbology + ".enable"}
		return lines(t, program, append(arguments, names...)...)
	}
}

func zxing(format string) func(*testing.T, string, []string) []string {
	letter := regexp.MustCompile(`<U\+([0-9A-F]+)>`) // how it prints what is not ASCII
	return func(t *testing.T, program string, names []string) []string {
		var texts []string
		for _, line := range lines(t, program, append([]string{"-1", "-format", format}, names...)...) {
			// The file's name, the format, the text in quotation marks.
			_, text, found := strings.Cut(line, " "+format+" \"")
			require.True(t, found && strings.HasSuffix(text, "\""), line)
			texts = append(texts, letter.ReplaceAllStringFunc(strings.TrimSuffix(text, "\""), func(s string) string {
				number, err := strconv.ParseInt(letter.FindStringSubmatch(s)[1], 16, 32)
				require.NoError(t, err)
				return string(rune(number))
			}))
		}
		return texts
	}
}
