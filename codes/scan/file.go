package scan

import (
	"context"
	"image"
	"io"
	"iter"
)

// File reads the symbols of a picture (PNG, JPEG) or of a PDF, told apart by
// their content, and hands those of a page out as soon as it is read at
// PageDPI. See Picture for what is read and in which order. Errors wrap
// ErrUnsupported, ErrTooLarge, ErrBroken or ErrLocked, or are the context's or
// the reader's own. A damaged page does not keep those after it
// from being read: its error comes in its place, with the number of the page.
func (r *Renderer) File(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[Found, error] {
	return func(yield func(Found, error) bool) {
		data, err := readAll(ctx, file)
		if err != nil {
			yield(Found{}, err)
			return
		}
		if !IsPDF(data) || kindOf(data) != "" {
			picture, err := decode(ctx, data)
			if err != nil {
				yield(Found{}, err)
				return
			}
			handOut(ctx, picture, 0, wanted, yield)
			return
		}
		number := 0
		for page, err := range r.Pages(ctx, data, PageDPI) {
			number++
			if err != nil {
				if !yield(Found{Page: number}, err) {
					return
				}
				continue
			}
			if !handOut(ctx, page, number, wanted, yield) {
				return
			}
		}
	}
}

// handOut reads one picture; false: no more finds are wanted.
func handOut(ctx context.Context, picture image.Image, page int, wanted func(text string) bool, yield func(Found, error) bool) bool {
	founds, err := Picture(ctx, picture, wanted)
	for _, found := range founds {
		found.Page = page
		if !yield(found, nil) {
			return false
		}
	}
	return err == nil || yield(Found{Page: page}, err)
}
