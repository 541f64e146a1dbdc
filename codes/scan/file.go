package scan

import (
	"context"
	"image"
	"io"
	"iter"
)

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
		data, err := readAll(ctx, file)
		if err != nil {
			yield(View{}, err)
			return
		}
		if !IsPDF(data) || kindOf(data) != "" {
			picture, err := decode(ctx, data)
			if err != nil {
				yield(View{}, err)
				return
			}
			yield(readLying(ctx, picture, orientationOf(data), wanted))
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
