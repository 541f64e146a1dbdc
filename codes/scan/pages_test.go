package scan

import (
	"bytes"
	"context"
	"errors"
	"image"
	"math"
	"testing"

	"github.com/jung-kurt/gofpdf"
	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pages"
	"graftslip/codes/scan/internal/pixels"
)

// turnedTexts is a PDF with texts in each of four directions, some broken into
// two lines, one of them at a hyphen, and the keywords "stock=thimble".
func turnedTexts(t testing.TB) []byte {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: 90, Ht: 70}})
	pdf.SetKeywords("stock=thimble", false)
	pdf.SetFont("Helvetica", "", 10)
	pdf.AddPage()
	pdf.Text(30, 10, "26329-004")
	pdf.Text(30, 15, "0017-63")
	pdf.Text(30, 20, "Marlpit-")
	pdf.Text(30, 25, "Hedge")
	for _, text := range []struct {
		says    string
		x, y    float64
		degrees float64
	}{{"down the right side", 80, 20, -90}, {"upside down", 60, 60, 180}, {"up the left side", 10, 55, 90}} {
		pdf.TransformBegin()
		pdf.TransformRotate(text.degrees, text.x, text.y)
		pdf.Text(text.x, text.y, text.says)
		pdf.TransformEnd()
	}
	return written(t, pdf)
}

// TestTextsOfAPage: the texts come in the order of the file, and each box holds
// the ink of its own text and little else.
func TestTextsOfAPage(t *testing.T) {
	plain := turnedTexts(t)
	for _, test := range []struct {
		reason string
		file   []byte
		dpi    float64
		right  image.Point // where upright text runs to, in the picture
	}{
		{"at a printer's resolution", plain, 300, image.Pt(1, 0)},
		{"at a low one", plain, 72, image.Pt(1, 0)},
		// The file's index is wrong behind the insertion; PDFium makes another.
		{"a page that is turned clockwise", bytes.Replace(plain, []byte("/Type /Page\n"), []byte("/Type /Page\n/Rotate 90\n"), 1), 150, image.Pt(0, 1)},
	} {
		document, err := renderer(t).Open(context.Background(), test.file)
		require.NoError(t, err, test.reason)
		require.Equal(t, 1, document.Pages)
		require.Equal(t, "stock=thimble", document.Keywords)
		page, err := document.Page(1, test.dpi)
		require.NoError(t, err)
		var texts []string
		boxes := make([]image.Rectangle, len(page.Texts))
		for i, text := range page.Texts {
			texts = append(texts, text.Text)
			boxes[i] = text.Place.Inset(-int(math.Ceil(test.dpi / 100)))
		}
		require.Equal(t, []string{"26329-004", "0017-63", "Marlpit-", "Hedge", "down the right side", "upside down", "up the left side"}, texts, test.reason)
		first := page.Texts[0].Place
		require.Greater(t, first.Dx()*test.right.X+first.Dy()*test.right.Y, 3*(first.Dx()*test.right.Y+first.Dy()*test.right.X), test.reason)

		ink := make([]int, len(boxes))
		for y := range page.Picture.Rect.Dy() {
			for x := range page.Picture.Rect.Dx() {
				if page.Picture.GrayAt(x, y).Y > 128 {
					continue
				}
				held := false
				for i, box := range boxes {
					if image.Pt(x, y).In(box) {
						ink[i]++
						held = true
					}
				}
				require.True(t, held, "%s: ink at %d, %d in no box", test.reason, x, y)
			}
		}
		for i, box := range boxes {
			require.Greater(t, 20*ink[i], box.Dx()*box.Dy(), "%s: the box of %q holds its ink", test.reason, texts[i])
		}
		document.Close()
		document.Close()
	}
}

func TestDocument(t *testing.T) {
	r := renderer(t)
	pdf := gofpdf.New("P", "mm", "A4", "")
	pdf.SetFont("Helvetica", "", 10)
	for page := range 3 {
		if page == 1 {
			pdf.AddPageFormat("P", gofpdf.SizeType{Wd: 5000, Ht: 5000})
			continue
		}
		pdf.AddPageFormat("P", gofpdf.SizeType{Wd: 60, Ht: float64(30 + page)})
		pdf.Text(5, 10, []string{"first", "second", "third"}[page])
	}
	document, err := r.Open(context.Background(), written(t, pdf))
	require.NoError(t, err)
	defer document.Close()
	require.Equal(t, 3, document.Pages)
	require.Empty(t, document.Keywords)
	// Pages come in any order, and a bad one leaves the others as they are.
	for _, number := range []int{3, 1, 3} {
		page, err := document.Page(number, 254)
		require.NoError(t, err)
		require.Equal(t, image.Rect(0, 0, 600, 290+10*number), page.Picture.Rect)
		require.Len(t, page.Texts, 1)
		require.Equal(t, []string{"first", "second", "third"}[number-1], page.Texts[0].Text)
	}
	for _, test := range []struct {
		number int
		dpi    float64
		kind   error
		says   string
	}{{2, 254, ErrTooLarge, "page 2"}, {0, 254, ErrBroken, "page 0"}, {4, 254, ErrBroken, "page 4"}, {1, 0, nil, "0 dots"}, {1, math.Inf(1), nil, "dots"}} {
		page, err := document.Page(test.number, test.dpi)
		require.ErrorContains(t, err, test.says)
		if test.kind != nil {
			require.ErrorIs(t, err, test.kind)
		}
		require.Nil(t, page.Picture)
	}
	_, err = r.Open(context.Background(), []byte("%PDF-1.4\n"))
	require.ErrorIs(t, err, ErrBroken)
	_, err = r.Open(context.Background(), []byte("26329"))
	require.ErrorIs(t, err, ErrUnsupported)
}

// TestDocumentStops: a document ends with its context and with its renderer.
func TestDocumentStops(t *testing.T) {
	r, err := NewRenderer(context.Background())
	require.NoError(t, err)
	reason := errors.New("the person has gone")
	ctx, cancel := context.WithCancelCause(context.Background())
	document, err := r.Open(ctx, turnedTexts(t))
	require.NoError(t, err)
	_, err = document.Page(1, 72)
	require.NoError(t, err)
	cancel(reason)
	_, err = document.Page(1, 72)
	require.ErrorIs(t, err, reason)
	document.Close()
	_, err = r.Open(ctx, turnedTexts(t))
	require.ErrorIs(t, err, reason)

	document, err = r.Open(context.Background(), turnedTexts(t))
	require.NoError(t, err)
	require.NoError(t, r.Close())
	_, err = document.Page(1, 72)
	require.ErrorIs(t, err, pages.ErrClosed)
	document.Close()
	_, err = r.Open(context.Background(), turnedTexts(t))
	require.ErrorIs(t, err, pages.ErrClosed)
}

// TestModules measures modules of known sizes: straight on the finest level and
// on coarser ones, turned, light on dark and blurred.
func TestModules(t *testing.T) {
	for _, kind := range kinds() {
		for _, module := range []int{2, 3, 5, 12} {
			for _, turned := range []bool{false, true} {
				page := canvas(150*module, 60*module)
				drawSymbol(page, pattern(t, kind, labelCode(9)), image.Pt(14*module, 14*module), module, 20*module, false)
				views := map[string]*image.Gray{"straight": page, "light on dark": faded(page, 255, 0), "blurred": blurred(page, 0.3*float64(module))}
				if turned {
					views = map[string]*image.Gray{"turned": warped(page, 90, 1, pixels.Point{}), "aslant": warped(page, 7, 1, pixels.Point{})}
				}
				for view, picture := range views {
					founds, err := Picture(context.Background(), picture, nil)
					require.NoError(t, err)
					require.Len(t, founds, 1, "%s, %d pixels, %s", kind, module, view)
					require.InEpsilon(t, module, founds[0].Module, 0.04, "%s, %d pixels, %s", kind, module, view)
				}
			}
		}
	}
}
