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
	// PageDPI is the resolution, in dots an inch, at which File reads PDFs.
	PageDPI = 300
)

// What can be wrong with a file. Errors of this package wrap one of these;
// use errors.Is. Their own texts name the file's fault and they carry a hint
// for the person (method Hint).
var (
	ErrBroken      = files.ErrBroken      // of a kind that can be read, but damaged
	ErrUnsupported = files.ErrUnsupported // of a kind that cannot be read here
	ErrTooLarge    = files.ErrTooLarge    // beyond the limits in bytes or pixels
	ErrLocked      = files.ErrLocked      // a PDF that asks for a password
)

// Document, Page and PageText are an open PDF, one of its pages, and a text on
// it.
type (
	Document = pages.Document
	Page     = pages.Page
	PageText = pages.Text
)

// Renderer draws the pages of PDFs and reads files. Its start takes up to two
// seconds, so keep one for all files of a process. It is safe for concurrent
// use; as many PDFs are worked on at once as there are processors, further ones
// wait.
type Renderer struct{ *pages.Renderer }

// NewRenderer makes a renderer that lives until ctx ends or Close is called. It
// takes no time yet: PDFium is started for the first PDF. The error is that of
// a context which has ended.
func NewRenderer(ctx context.Context) (*Renderer, error) {
	r, err := pages.NewRenderer(ctx)
	if err != nil {
		return nil, err
	}
	return &Renderer{r}, nil
}

// View is a picture, or a page of a PDF as it was drawn, and what was read off
// it.
type View struct {
	Page    int         // of a PDF, from 1; 0 for a picture
	Picture image.Image // as a person sees it: upright where the file says how it lies
	Reading
}

// File reads the symbols of a picture (PNG, JPEG) or of a PDF, told apart by
// their content, and hands out a page as soon as it is read at PageDPI. See
// Photograph for what is read and in which order. Errors wrap ErrUnsupported,
// ErrTooLarge, ErrBroken or ErrLocked, or are the context's or the reader's own.
// With the context's error comes what was read until then. A damaged page does
// not keep those after it from being read: its error comes in its place, with
// the number of the page.
//
// A JPEG picture that its EXIF data calls turned is seen, and its symbols are
// told, as it is upright. A PNG is taken as it is.
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
		for page, err := range r.Pages(ctx, data, PageDPI) {
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
