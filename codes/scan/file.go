package scan

import (
	"context"
	"image"
	"io"
	"iter"

	"graftslip/codes/scan/internal/files"
	"graftslip/codes/scan/internal/pages"
)

const (
	// MaxPixels is the largest picture, or rendered page, that is read.
	MaxPixels = files.MaxPixels
	// pageDPI is the resolution, in dots an inch, at which File reads PDFs.
	pageDPI = 300
)

// What can be wrong with a file. The errors of this package wrap one of these
// (use errors.Is). Their texts name the fault and their method Hint the cure.
var (
	ErrBroken      = files.ErrBroken      // of a kind that can be read, but damaged
	ErrUnsupported = files.ErrUnsupported // of a kind that cannot be read here
	ErrTooLarge    = files.ErrTooLarge    // beyond the limits in bytes or pixels
	ErrLocked      = files.ErrLocked      // a PDF that asks for a password
)

// Document is an open PDF, Page one of its pages, and PageText a text on a page.
type (
	Document = pages.Document
	Page     = pages.Page
	PageText = pages.Text
)

// Renderer draws the pages of PDFs and reads files. It takes up to two seconds to
// start, so keep one for all files of a process. It is safe for concurrent use,
// and works on as many PDFs at once as there are processors; others wait.
type Renderer struct{ *pages.Renderer }

// NewRenderer returns a renderer that works until ctx ends or Close is called. It
// returns at once: PDFium is started with the first PDF. The only error is that
// of a context that has ended.
func NewRenderer(ctx context.Context) (*Renderer, error) {
	r, err := pages.NewRenderer(ctx)
	if err != nil {
		return nil, err
	}
	return &Renderer{r}, nil
}

// View is a picture, or a page of a PDF as it was drawn, with what was read off
// it.
type View struct {
	Page    int         // of a PDF, from 1; 0 for a picture
	Picture image.Image // upright, if the file gives its orientation
	Reading
}

// File reads the symbols of a picture (PNG, JPEG) or a PDF, which it tells apart
// by their content. It reads pages at pageDPI, as Photograph does, and yields
// each as soon as it is read.
//
// Errors wrap ErrUnsupported, ErrTooLarge, ErrBroken or ErrLocked, or are the
// context's or the reader's own. The context's error comes with what was read
// until then. A damaged page yields its error and its number, and the pages after
// it follow.
//
// A JPEG is turned upright by its EXIF orientation, and so are the places of its
// symbols. A PNG is read as it is.
func (r *Renderer) File(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[View, error] {
	return func(yield func(View, error) bool) {
		data, err := files.ReadAll(ctx, file)
		if err != nil {
			yield(View{}, err)
			return
		}
		if !files.IsPDF(data) || files.Kind(data) != "" {
			picture, err := files.Decode(ctx, data)
			if err != nil {
				yield(View{}, err)
				return
			}
			yield(readLying(ctx, picture, files.Orientation(data), wanted))
			return
		}
		number := 0
		for page, err := range r.Pages(ctx, data, pageDPI) {
			number++
			view := View{Page: number}
			if err == nil {
				view.Picture = page
				view.Reading, err = Photograph(ctx, page, wanted)
			}
			if !yield(view, err) {
				return
			}
		}
	}
}
