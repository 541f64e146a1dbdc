package scan

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"iter"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jung-kurt/gofpdf"
	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/files"
	"graftslip/codes/scan/internal/pages"
)

// printSymbol draws a symbol on a PDF's page as one path, with its upper left
// module at (x, y) mm; bars are 24 modules high. (PDFium widens a rectangle that is
// alone in its path to whole pixels.)
func printSymbol(t testing.TB, pdf *gofpdf.Fpdf, kind, text string, x, y, module float64) {
	b := pattern(t, kind, text)
	height := module
	if kind == Code128 {
		height = 24 * module
	}
	const points = 72 / 25.4
	_, top := pdf.GetPageSize()
	for row := range b.Bounds().Dy() {
		for from := 0; from < b.Bounds().Dx(); {
			to := from
			for to < b.Bounds().Dx() {
				if v, _, _, _ := b.At(to, row).RGBA(); v != 0 {
					break
				}
				to++
			}
			if to > from {
				pdf.RawWriteStr(fmt.Sprintf("%.5f %.5f %.5f %.5f re ", (x+float64(from)*module)*points,
					(top-y-float64(row)*module-height)*points, float64(to-from)*module*points, height*points))
			}
			from = to + 1
		}
	}
	pdf.RawWriteStr("f")
}

// labelPDF is a PDF with pages of n small labels of a kind, in millimetres that
// do not fall on dots.
func labelPDF(t testing.TB, kind string, module float64, pages, n int) ([]byte, []string) {
	pdf := gofpdf.New("P", "mm", "A4", "")
	pdf.SetFont("Helvetica", "", 8)
	var texts []string
	for page := range pages {
		pdf.AddPage()
		for i := range n {
			text := labelCode(page*n + i)
			x, y := 7+40.64*float64(i%5), 13+21.2*float64(i/5)
			printSymbol(t, pdf, kind, text, x, y, module)
			if kind == Code128 {
				pdf.Text(x, y+9, "'Long Meadow Russet'")
			} else {
				pdf.Text(x+21*module+2, y+3, "'Long Meadow Russet'")
			}
			texts = append(texts, text)
		}
	}
	return written(t, pdf), texts
}

func written(t testing.TB, pdf *gofpdf.Fpdf) []byte {
	var file bytes.Buffer
	require.NoError(t, pdf.Output(&file))
	return file.Bytes()
}

// shared is the renderer of all tests that do not close it: it takes a while to start.
var shared = sync.OnceValues(func() (*Renderer, error) { return NewRenderer(context.Background()) })

func renderer(t testing.TB) *Renderer {
	t.Helper()
	r, err := shared()
	require.NoError(t, err)
	return r
}

// collect returns the finds, the page of each, and the first error.
func collect(views iter.Seq2[View, error]) (all []Found, pages []int, first error) {
	for view, err := range views {
		for _, found := range view.Found {
			all, pages = append(all, found), append(pages, view.Page)
		}
		if first == nil {
			first = err
		}
	}
	return all, pages, first
}

func TestFileReadsPDFs(t *testing.T) {
	r := renderer(t)
	for _, kind := range kinds() {
		file, texts := labelPDF(t, kind, 0.254, 2, 65)
		founds, pages, err := collect(r.File(context.Background(), bytes.NewReader(file), nil))
		require.NoError(t, err)
		require.Equal(t, texts, textsOf(founds), kind)
		for i, f := range founds {
			require.Equal(t, 1+i/65, pages[i])
			require.Equal(t, kind, f.Symbol)
		}
	}
}

func TestFileReadsPictures(t *testing.T) {
	founds, _, err := collect(renderer(t).File(context.Background(), bytes.NewReader(smallPNG(t)), nil))
	require.NoError(t, err, "a picture without a symbol")
	require.Empty(t, founds)
	_, _, err = collect(renderer(t).File(context.Background(), strings.NewReader("26329-004-0017-42"), nil))
	require.ErrorIs(t, err, ErrUnsupported)
	_, _, err = collect(renderer(t).File(context.Background(), strings.NewReader(""), nil))
	require.ErrorIs(t, err, ErrUnsupported)
}

// TestPagesAtPrinterResolutions reads the symbols of small pages at the
// resolutions of printers, whole dots a module.
func TestPagesAtPrinterResolutions(t *testing.T) {
	r := renderer(t)
	for _, dpi := range []float64{203.2, 300, 600} {
		dot := 25.4 / dpi
		for _, kind := range kinds() {
			dots := map[float64]float64{203.2: 2, 300: 3, 600: 6}[dpi]
			pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: 50, Ht: 20}})
			pdf.AddPage()
			printSymbol(t, pdf, kind, labelCode(7), 50*dot, 30*dot, dots*dot)
			for page, err := range r.Pages(context.Background(), written(t, pdf), dpi) {
				require.NoError(t, err)
				require.InDelta(t, 50*dpi/25.4, page.Rect.Dx(), 1)
				require.InDelta(t, 20*dpi/25.4, page.Rect.Dy(), 1)
				// On whole dots there is nothing between black and white, but
				// that the page's own size is rounded to hundredths of a point.
				grey := 0
				for _, v := range page.Pix {
					if v > 60 && v < 195 {
						grey++
					}
				}
				require.Zero(t, grey, "%s at %v dpi", kind, dpi)
				founds, err := Picture(context.Background(), page, nil)
				require.NoError(t, err)
				require.Equal(t, []string{labelCode(7)}, textsOf(founds), "%s at %v dpi", kind, dpi)
			}
		}
	}
}

func TestPagesAreInOrder(t *testing.T) {
	pdf := gofpdf.New("P", "pt", "A4", "")
	pdf.SetFillColor(0, 0, 0)
	sizes := []gofpdf.SizeType{{Wd: 100, Ht: 50}, {Wd: 70, Ht: 90}, {Wd: 72, Ht: 72}}
	for _, size := range sizes {
		pdf.AddPageFormat("P", size)
	}
	pdf.Rect(0, 0, 36, 36, "F") // the upper left quarter of the last page
	n := 0
	for page, err := range renderer(t).Pages(context.Background(), written(t, pdf), 72) {
		require.NoError(t, err)
		require.Equal(t, image.Rect(0, 0, int(sizes[n].Wd), int(sizes[n].Ht)), page.Rect)
		if n < 2 {
			for _, v := range page.Pix {
				require.EqualValues(t, 255, v, "an empty page is white")
			}
		} else {
			require.Zero(t, page.GrayAt(1, 1).Y)
			require.Zero(t, page.GrayAt(34, 34).Y)
			require.EqualValues(t, 255, page.GrayAt(38, 1).Y)
			require.EqualValues(t, 255, page.GrayAt(1, 38).Y)
		}
		n++
	}
	require.Equal(t, 3, n)
}

func TestPagesRefuse(t *testing.T) {
	r := renderer(t)
	locked := gofpdf.New("P", "mm", "A4", "")
	locked.SetProtection(0, "secret", "secret too")
	locked.AddPage()
	huge := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: 5000, Ht: 5000}})
	huge.AddPage()
	good, _ := labelPDF(t, QR, 0.3, 1, 5)
	for _, test := range []struct {
		reason string
		file   []byte
		kind   error
		says   string
	}{
		{"no PDF", []byte("26329"), ErrUnsupported, "not a PDF"},
		{"a picture", smallPNG(t), ErrUnsupported, "not a PDF"},
		{"only the mark of a PDF", []byte("%PDF-1.4\n"), ErrBroken, "damaged"},
		{"nonsense behind the mark", append([]byte("%PDF-1.7\n"), bytes.Repeat([]byte("nonsense "), 400)...), ErrBroken, "damaged"},
		{"cut off", good[:len(good)/3], ErrBroken, "damaged"},
		{"a password", written(t, locked), ErrLocked, "password"},
		{"a page of 25 m²", written(t, huge), ErrTooLarge, "page 1"},
		{"more bytes than are taken", append([]byte("%PDF-1.7\n"), make([]byte, files.MaxBytes)...), ErrTooLarge, "64 MiB"},
	} {
		n := 0
		for page, err := range r.Pages(context.Background(), test.file, 300) {
			n++
			require.Nil(t, page, test.reason)
			require.ErrorIs(t, err, test.kind, test.reason)
			require.ErrorContains(t, err, test.says, test.reason)
			var h hinted
			require.ErrorAs(t, err, &h, test.reason)
			require.NotEmpty(t, h.Hint())
		}
		require.Equal(t, 1, n, test.reason)
	}
	for _, dpi := range []float64{0, -300} {
		for _, err := range r.Pages(context.Background(), good, dpi) {
			require.ErrorContains(t, err, fmt.Sprint(dpi))
		}
	}
	// A PDF that only asks for a password to change it can be read.
	open := gofpdf.New("P", "mm", "A4", "")
	open.SetProtection(0, "", "secret too")
	open.AddPage()
	printSymbol(t, open, QR, labelCode(3), 30, 30, 0.3)
	founds, _, err := collect(r.File(context.Background(), bytes.NewReader(written(t, open)), nil))
	require.NoError(t, err)
	require.Equal(t, []string{labelCode(3)}, textsOf(founds))
}

// TestFileKeepsGoodPages has a page too large to draw between two good ones.
func TestFileKeepsGoodPages(t *testing.T) {
	pdf := gofpdf.New("P", "mm", "A4", "")
	for page := range 3 {
		if page == 1 {
			pdf.AddPageFormat("P", gofpdf.SizeType{Wd: 5000, Ht: 5000})
			continue
		}
		pdf.AddPageFormat("P", gofpdf.SizeType{Wd: 60, Ht: 30})
		printSymbol(t, pdf, DataMatrix, labelCode(page), 10, 10, 0.3)
	}
	founds, pages, err := collect(renderer(t).File(context.Background(), bytes.NewReader(written(t, pdf)), nil))
	require.ErrorIs(t, err, ErrTooLarge)
	require.ErrorContains(t, err, "page 2")
	require.Equal(t, []string{labelCode(0), labelCode(2)}, textsOf(founds))
	require.Equal(t, []int{1, 3}, pages)
}

func TestOneRendererForMany(t *testing.T) {
	r := renderer(t)
	var workers sync.WaitGroup
	start := time.Now()
	const each, count = 12, 6
	for worker := range count {
		workers.Go(func() {
			for n := range each {
				pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: 45, Ht: 25}})
				pdf.AddPage()
				text := labelCode(worker*each + n)
				printSymbol(t, pdf, kinds()[n%3], text, 4, 4, 0.28)
				founds, _, err := collect(r.File(context.Background(), bytes.NewReader(written(t, pdf)), nil))
				if err != nil || len(founds) != 1 || founds[0].Text != text {
					t.Errorf("worker %d, PDF %d: read %v, %v", worker, n, founds, err)
				}
			}
		})
	}
	workers.Wait()
	t.Logf("%d small PDFs in %v", count*each, time.Since(start).Round(time.Millisecond))
}

func TestPagesStop(t *testing.T) {
	r, err := NewRenderer(context.Background())
	require.NoError(t, err)
	file, _ := labelPDF(t, QR, 0.3, 4, 10)
	reason := errors.New("the person has gone")
	ctx, cancel := context.WithCancelCause(context.Background())
	n := 0
	var last error
	for _, err := range r.Pages(ctx, file, 72) {
		if n++; n == 2 {
			cancel(reason)
		}
		last = err
	}
	require.ErrorIs(t, last, reason)
	require.Equal(t, 3, n, "two pages and the error")

	// The renderer goes on with the next PDF.
	n = 0
	for _, err := range r.Pages(context.Background(), file, 72) {
		require.NoError(t, err)
		if n++; n == 2 {
			break
		}
	}
	require.Equal(t, 2, n)

	// A loop within a loop, and closing in the midst of one.
	n = 0
	for _, err := range r.Pages(context.Background(), file, 72) {
		last = err
		if n++; n > 1 {
			continue
		}
		for _, err := range r.Pages(context.Background(), file, 72) {
			require.NoError(t, err)
		}
		require.NoError(t, r.Close())
	}
	require.ErrorIs(t, last, pages.ErrClosed)
	require.Equal(t, 2, n)
	require.NoError(t, r.Close(), "closing twice")
	for _, err := range r.Pages(context.Background(), file, 72) {
		require.ErrorIs(t, err, pages.ErrClosed)
	}

	ctx, cancel = context.WithCancelCause(context.Background())
	cancel(reason)
	_, err = NewRenderer(ctx)
	require.ErrorIs(t, err, reason)
	unused, err := NewRenderer(context.Background())
	require.NoError(t, err)
	require.NoError(t, unused.Close(), "closing what was never started")
}

// TestPageIsStoppedWhileItIsDrawn draws one page that takes seconds.
func TestPageIsStoppedWhileItIsDrawn(t *testing.T) {
	pdf := gofpdf.New("P", "mm", "A4", "")
	pdf.AddPage()
	pdf.SetAlpha(0.5, "Normal")
	for i := range 4000 {
		pdf.Ellipse(105, 148, 100-float64(i)/100, 140-float64(i)/100, float64(i), "FD")
	}
	r := renderer(t)
	for _, err := range r.Pages(context.Background(), written(t, gofpdf.New("P", "mm", "A4", "")), 72) {
		require.NoError(t, err) // PDFium has started
	}
	const deadline = 300 * time.Millisecond
	ctx, stop := context.WithTimeout(context.Background(), deadline)
	defer stop()
	var last error
	for page, err := range r.Pages(ctx, written(t, pdf), 600) {
		last = err
		require.Nil(t, page, "the page was not drawn to its end")
	}
	require.ErrorIs(t, last, context.DeadlineExceeded, "a page of 4,000 large transparent shapes takes longer")
}
