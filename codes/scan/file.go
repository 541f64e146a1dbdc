package scan

import (
	"context"
	"io"
)

// File reads the symbols of a picture (PNG, JPEG) or, page by page at PageDPI,
// of a PDF, told apart by their content. See Picture for what is read, Decode
// and Renderer.Pages for the errors. Beside an error come the symbols that were
// found; a damaged page of a PDF does not keep the others from being read.
func (r *Renderer) File(ctx context.Context, file io.Reader, wanted func(text string) bool) ([]Found, error) {
	data, err := readAll(ctx, file)
	if err != nil {
		return nil, err
	}
	if !IsPDF(data) || kindOf(data) != "" {
		picture, err := decode(ctx, data)
		if err != nil {
			return nil, err
		}
		return Picture(ctx, picture, wanted)
	}
	var founds []Found
	var first error
	number := 0
	for page, err := range r.Pages(ctx, data, PageDPI) {
		number++
		var onPage []Found
		if err == nil {
			onPage, err = Picture(ctx, page, wanted)
		}
		for i := range onPage {
			onPage[i].Page = number
		}
		founds = append(founds, onPage...)
		if first == nil {
			first = err
		}
	}
	return founds, first
}

// File is Renderer.File with a renderer for this file alone.
func File(ctx context.Context, file io.Reader, wanted func(text string) bool) ([]Found, error) {
	r, err := NewRenderer(ctx)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return r.File(ctx, file, wanted)
}
