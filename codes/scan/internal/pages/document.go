package pages

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"

	"github.com/klippa-app/go-pdfium"
	"github.com/klippa-app/go-pdfium/enums"
	pdfiumerrors "github.com/klippa-app/go-pdfium/errors"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"
	"github.com/klippa-app/go-pdfium/structs"

	"graftslip/codes/scan/internal/files"
)

// Document is an open PDF whose pages are drawn one by one, as they are asked
// for. It is for one goroutine at a time. Close it.
type Document struct {
	Pages    int    // how many there are
	Keywords string // that the file gives about itself, "" when it gives none

	ctx      context.Context // ends with the renderer, too, soon after it
	opener   context.Context // the renderer's
	pdfium   pdfium.Pdfium
	document references.FPDF_DOCUMENT
	close    func()
}

// Page is a page of a document as a printer would see it.
type Page struct {
	Picture *image.Gray
	Texts   []Text // in the order of the file
}

// Open opens a PDF, which is drawn until ctx ends or the renderer is closed.
// Errors are those of Renderer.Pages.
func (r *Renderer) Open(ctx context.Context, pdf []byte) (*Document, error) {
	if err := checkPDF(pdf); err != nil {
		return nil, err
	}
	if err := r.enter(); err != nil {
		return nil, err
	}
	// Closing the renderer ends the work, too.
	ctx, cancel := context.WithCancelCause(ctx)
	unbind := context.AfterFunc(r.ctx, func() { cancel(context.Cause(r.ctx)) })
	end := func() {
		unbind()
		cancel(nil)
		r.leave()
	}
	in, err := r.instance(ctx)
	if err != nil {
		end()
		return nil, err
	}
	killed := make(chan struct{})
	unwatch := context.AfterFunc(ctx, func() {
		defer close(killed)
		_ = in.Kill()
	})
	d := &Document{ctx: ctx, opener: r.ctx, pdfium: in, close: func() {
		if unwatch() {
			_ = in.Close()
		} else {
			<-killed
		}
		end()
	}}
	err = d.load(pdf)
	if ctx.Err() != nil {
		err = context.Cause(ctx)
	}
	if err != nil {
		d.Close()
		return nil, err
	}
	return d, nil
}

// Close frees what the document holds. It may be called again.
func (d *Document) Close() {
	if d.close != nil {
		d.close()
		d.close = nil
	}
}

// Page draws a page, counted from 1, as Renderer.Pages does, and gives what is
// written on it. A page that cannot be drawn leaves the others as they are;
// after the context's error, or the closed renderer's, nothing more is drawn.
func (d *Document) Page(number int, dpi float64) (Page, error) {
	if err := checkDPI(dpi); err != nil {
		return Page{}, err
	}
	var page Page
	var err error
	page.Picture, err = d.picture(number, dpi, &page.Texts)
	for _, ctx := range []context.Context{d.opener, d.ctx} {
		if ctx.Err() != nil {
			return Page{}, context.Cause(ctx)
		}
	}
	if err != nil {
		return Page{}, err
	}
	return page, nil
}

// pointsPerInch is the unit of a PDF page.
const pointsPerInch = 72

// load opens the PDF and tells what it says of itself.
func (d *Document) load(pdf []byte) error {
	opened, err := d.pdfium.OpenDocument(&requests.OpenDocument{File: &pdf})
	switch {
	case errors.Is(err, pdfiumerrors.ErrPassword):
		return &files.Fault{Kind: files.ErrLocked, Text: "the PDF asks for a password", Advice: "save it without a password"}
	case errors.Is(err, pdfiumerrors.ErrSecurity):
		return &files.Fault{Kind: files.ErrUnsupported, Text: "the PDF is encrypted in a way that cannot be read",
			Advice: "save it without encryption"}
	case err != nil:
		return brokenPDF("the PDF is damaged", err)
	}
	d.document = opened.Document
	count, err := d.pdfium.FPDF_GetPageCount(&requests.FPDF_GetPageCount{Document: d.document})
	if err != nil {
		return brokenPDF("the PDF is damaged", err)
	}
	if count.PageCount == 0 {
		return brokenPDF("the PDF has no pages", nil)
	}
	d.Pages = count.PageCount
	// An error says that it has no dictionary of keywords.
	if told, err := d.pdfium.FPDF_GetMetaText(&requests.FPDF_GetMetaText{Document: d.document, Tag: "Keywords"}); err == nil {
		d.Keywords = told.Value
	}
	return nil
}

func brokenPDF(text string, cause error) error {
	return &files.Fault{Kind: files.ErrBroken, Text: text, Advice: "make or send the file again", Cause: cause}
}

// picture draws a page, counted from 1, at dpi dots an inch. Unless texts is nil
// it is filled with what is written on the page.
func (d *Document) picture(number int, dpi float64, texts *[]Text) (*image.Gray, error) {
	picture, err := d.draw(number, dpi, texts)
	var fault *files.Fault
	if err != nil && !errors.As(err, &fault) {
		return nil, brokenPDF(fmt.Sprintf("page %d of the PDF is damaged", number), err)
	}
	return picture, err
}

func (d *Document) draw(number int, dpi float64, texts *[]Text) (*image.Gray, error) {
	loaded, err := d.pdfium.FPDF_LoadPage(&requests.FPDF_LoadPage{Document: d.document, Index: number - 1})
	if err != nil {
		return nil, err
	}
	defer func() { _, _ = d.pdfium.FPDF_ClosePage(&requests.FPDF_ClosePage{Page: loaded.Page}) }()
	page := requests.Page{ByReference: &loaded.Page}
	wide, err := d.pdfium.FPDF_GetPageWidthF(&requests.FPDF_GetPageWidthF{Page: page})
	if err != nil {
		return nil, err
	}
	high, err := d.pdfium.FPDF_GetPageHeightF(&requests.FPDF_GetPageHeightF{Page: page})
	if err != nil {
		return nil, err
	}
	const slack = 0.01 // of a dot: page sizes are written with two decimals
	scale := dpi / pointsPerInch
	w, h := math.Ceil(float64(wide.PageWidth)*scale-slack), math.Ceil(float64(high.PageHeight)*scale-slack)
	if w*h > files.MaxPixels {
		return nil, &files.Fault{Kind: files.ErrTooLarge,
			Text:   fmt.Sprintf("page %d of the PDF would be %.0f × %.0f pixels", number, w, h),
			Advice: fmt.Sprintf("make the page smaller: %d megapixels at most at %g dots an inch", files.MaxPixels/1_000_000, dpi)}
	}
	width, height := max(int(w), 1), max(int(h), 1)
	if texts != nil {
		if *texts, err = d.texts(page, width, height); err != nil {
			return nil, err
		}
	}
	return d.bitmap(page, width, height, float32(scale))
}

// bitmap draws a page on white.
func (d *Document) bitmap(page requests.Page, width, height int, scale float32) (*image.Gray, error) {
	made, err := d.pdfium.FPDFBitmap_CreateEx(&requests.FPDFBitmap_CreateEx{
		Width: width, Height: height, Format: enums.FPDF_BITMAP_FORMAT_GRAY, Pointer: uint64(0)})
	if err != nil {
		return nil, err
	}
	defer func() { _, _ = d.pdfium.FPDFBitmap_Destroy(&requests.FPDFBitmap_Destroy{Bitmap: made.Bitmap}) }()
	if _, err := d.pdfium.FPDFBitmap_FillRect(&requests.FPDFBitmap_FillRect{
		Bitmap: made.Bitmap, Width: width, Height: height, Color: 0xffffffff}); err != nil {
		return nil, err
	}
	// A matrix keeps the scale exact. Fitting the page to the size of the bitmap
	// would stretch it by up to a dot.
	if _, err := d.pdfium.FPDF_RenderPageBitmapWithMatrix(&requests.FPDF_RenderPageBitmapWithMatrix{
		Bitmap: made.Bitmap, Page: page,
		Matrix:   structs.FPDF_FS_MATRIX{A: scale, D: scale},
		Clipping: structs.FPDF_FS_RECTF{Right: float32(width), Bottom: float32(height)},
		Flags:    enums.FPDF_RENDER_FLAG_ANNOT | enums.FPDF_RENDER_FLAG_GRAYSCALE,
	}); err != nil {
		return nil, err
	}
	stride, err := d.pdfium.FPDFBitmap_GetStride(&requests.FPDFBitmap_GetStride{Bitmap: made.Bitmap})
	if err != nil {
		return nil, err
	}
	buffer, err := d.pdfium.FPDFBitmap_GetBuffer(&requests.FPDFBitmap_GetBuffer{Bitmap: made.Bitmap})
	if err != nil {
		return nil, err
	}
	// The buffer is PDFium's own memory: copy it out.
	picture := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		copy(picture.Pix[y*picture.Stride:][:width], buffer.Buffer[y*stride.Stride:])
	}
	return picture, nil
}
