package scan

import (
	"context"
	"image"
)

// Document is an open PDF whose pages are drawn one by one, as they are asked
// for. It is for one goroutine at a time. Close it.
type Document struct {
	Pages    int    // how many there are
	Keywords string // that the file gives about itself, "" when it gives none

	ctx    context.Context // ends with the renderer, too, soon after it
	opener context.Context // the renderer's
	drawer *drawer
	close  func()
}

// Page is a page of a document as a printer would see it.
type Page struct {
	Picture *image.Gray
	Texts   []PageText // in the order of the file
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
	d := &Document{ctx: ctx, opener: r.ctx, drawer: &drawer{in: in}, close: func() {
		if unwatch() {
			_ = in.Close()
		} else {
			<-killed
		}
		end()
	}}
	d.Pages, err = d.drawer.open(pdf)
	if err == nil {
		d.Keywords = d.drawer.keywords()
	}
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
	page.Picture, err = d.drawer.page(number-1, dpi, &page.Texts)
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
