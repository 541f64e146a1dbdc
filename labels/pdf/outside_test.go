package pdf_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/testdata/outside"
)

// TestOutside draws the matrix with poppler, checks the ink again, and lets
// zbar read the QR and Code 128 symbols and zxing-cpp and libdmtx those of
// Data Matrix. qpdf checks every file.
func TestOutside(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a minute")
	}
	poppler, qpdf := outside.Tool(t, "pdftoppm"), outside.Tool(t, "qpdf")
	zbar, zxing, dmtx := outside.Tool(t, "zbarimg"), outside.Tool(t, "ZXingReader"), outside.Tool(t, "dmtxread")
	folder := t.TempDir()
	var mutex sync.Mutex
	expected := map[symbol.Kind]map[string]string{symbol.QR: {}, symbol.DataMatrix: {}, symbol.Code128: {}} // picture -> text
	work := make(chan int)
	var workers sync.WaitGroup
	cases := matrixCases(t)
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := range work {
				t.Run(cases[i].String(), func(t *testing.T) {
					p := cases[i].print(t, false)
					if len(p.slips) == 0 {
						return
					}
					stem := filepath.Join(folder, strconv.Itoa(i))
					require.NoError(t, os.WriteFile(stem+".pdf", p.pdf, 0o600))
					checked, err := exec.Command(qpdf, "--check", stem+".pdf").CombinedOutput()
					require.NoError(t, err, "%s", checked)
					require.NotContains(t, string(checked), "WARNING")
					for page, picture := range popplerPages(t, poppler, stem, exactDPI(cases[i].dpi)) {
						look := newLook(picture, cases[i].dpi)
						first := page * p.stock.Count()
						for n := first; n < min(first+p.stock.Count(), len(p.slips)); n++ {
							place := p.stock.Position(n)
							look.checkSlip(t, p.slips[n], place, p.stock.Safe())
							for _, s := range p.slips[n].Symbols {
								look.checkSymbol(t, s, place)
								name := fmt.Sprintf("%s-%d-%v.png", stem, n, s.Kind())
								writePNG(t, name, look.enlarged(s, place))
								mutex.Lock()
								expected[s.Kind()][name] = s.Text
								mutex.Unlock()
							}
						}
						look.checkRest(t)
					}
				})
			}
		})
	}
	for i := range cases {
		work <- i
	}
	close(work)
	workers.Wait()

	requireRead(t, "zbar", symbol.QR, expected, func(pictures []string) map[string][]string { return zbarRead(t, zbar, pictures) })
	requireRead(t, "zbar", symbol.Code128, expected, func(pictures []string) map[string][]string { return zbarRead(t, zbar, pictures) })
	requireRead(t, "zxing-cpp", symbol.DataMatrix, expected, func(pictures []string) map[string][]string { return zxingRead(t, zxing, pictures) })
	requireRead(t, "libdmtx", symbol.DataMatrix, expected, func(pictures []string) map[string][]string { return dmtxRead(t, dmtx, pictures) })
}

// popplerPages renders a PDF in grey.
func popplerPages(t *testing.T, poppler, stem string, dpi float64) []*image.Gray {
	t.Helper()
	out, err := exec.Command(poppler, "-gray", "-r", strconv.FormatFloat(dpi, 'f', -1, 64), stem+".pdf", stem).CombinedOutput()
	require.NoError(t, err, "%s", out)
	names, err := filepath.Glob(stem + "-*.pgm")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	var pages []*image.Gray
	for _, name := range names { // in order: fewer than ten pages
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		head := regexp.MustCompile(`^P5\s+(\d+)\s+(\d+)\s+255\s`).FindSubmatch(data)
		require.NotNil(t, head, "a grey picture")
		width, _ := strconv.Atoi(string(head[1]))
		height, _ := strconv.Atoi(string(head[2]))
		picture := &image.Gray{Pix: data[len(head[0]):], Stride: width, Rect: image.Rect(0, 0, width, height)}
		require.Len(t, picture.Pix, width*height)
		pages = append(pages, picture)
		require.NoError(t, os.Remove(name))
	}
	return pages
}

func writePNG(t *testing.T, name string, picture image.Image) {
	t.Helper()
	var content bytes.Buffer
	require.NoError(t, png.Encode(&content, picture))
	require.NoError(t, os.WriteFile(name, content.Bytes(), 0o600))
}

func requireRead(t *testing.T, reader string, kind symbol.Kind, expected map[symbol.Kind]map[string]string, read func([]string) map[string][]string) {
	t.Helper()
	var pictures []string
	for name := range expected[kind] {
		pictures = append(pictures, name)
	}
	require.Greater(t, len(pictures), 80)
	got := read(pictures)
	right, wrong, missing := 0, 0, 0
	for name, text := range expected[kind] {
		switch texts := got[name]; {
		case len(texts) == 0:
			missing++
			t.Logf("%s misses %s", reader, filepath.Base(name))
		case len(texts) == 1 && texts[0] == text:
			right++
		default:
			wrong++
			t.Logf("%s reads %q for %q", reader, texts, text)
		}
	}
	t.Logf("%-9s %-10v printed %d, read %d, wrong %d, missing %d", reader, kind, len(pictures), right, wrong, missing)
	require.Zero(t, wrong)
	require.Zero(t, missing)
}

// zbarRead reads many pictures in one call.
func zbarRead(t *testing.T, zbar string, pictures []string) map[string][]string {
	t.Helper()
	out, _ := exec.Command(zbar, append([]string{"--xml", "--quiet", "--nodbus"}, pictures...)...).Output() // exit code 4: some had none
	var answer struct {
		Sources []struct {
			Name  string   `xml:"href,attr"`
			Texts []string `xml:"index>symbol>data"`
		} `xml:"source"`
	}
	require.NoError(t, xml.Unmarshal(out, &answer))
	read := map[string][]string{}
	for _, source := range answer.Sources {
		read[source.Name] = source.Texts
	}
	return read
}

func zxingRead(t *testing.T, zxing string, pictures []string) map[string][]string {
	t.Helper()
	out, _ := exec.Command(zxing, append([]string{"-format", "DataMatrix"}, pictures...)...).Output()
	read := map[string][]string{}
	name := ""
	for line := range strings.Lines(string(out)) {
		if value, found := strings.CutPrefix(line, "File:"); found {
			name = strings.TrimSpace(value)
		}
		if value, found := strings.CutPrefix(line, "Text:"); found {
			if text := strings.Trim(strings.TrimSpace(value), `"`); text != "" {
				read[name] = append(read[name], text)
			}
		}
	}
	return read
}

func dmtxRead(t *testing.T, dmtx string, pictures []string) map[string][]string {
	t.Helper()
	read := map[string][]string{}
	for _, name := range pictures {
		out, _ := exec.Command(dmtx, "-n", "-N1", "-m3000", name).Output()
		if text := strings.TrimSpace(string(out)); text != "" {
			read[name] = append(read[name], text)
		}
	}
	return read
}
