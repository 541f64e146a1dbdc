// Package pages draws the pages of PDFs and gives the texts on them.
package pages

import (
	"context"
	"errors"
	"fmt"
	"image"
	"iter"
	"math"
	"sync"

	"github.com/klippa-app/go-pdfium"

	"graftslip/codes/scan/internal/files"
)

// Renderer draws the pages of PDFs. Its start takes up to two seconds, so keep
// one for all PDFs of a process. It is safe for concurrent use; as many PDFs
// are worked on at once as there are processors, further ones wait.
type Renderer struct {
	ctx    context.Context // ends with Close
	cancel context.CancelCauseFunc

	mutex  sync.Mutex
	users  int           // documents that are open
	closed bool          // the last user closes the pool
	ready  chan struct{} // nil: not started; closed when pool and err are set
	pool   pdfium.Pool
	err    error
}

var ErrClosed = errors.New("the renderer of PDFs is closed")

// NewRenderer makes a renderer that lives until ctx ends or Close is called. It
// takes no time yet: PDFium is started for the first PDF. The error is that of
// a context which has ended.
func NewRenderer(ctx context.Context) (*Renderer, error) {
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	r := &Renderer{}
	r.ctx, r.cancel = context.WithCancelCause(ctx)
	return r, nil
}

// Close stops what is being drawn and frees the memory, at the latest when the
// last open document is closed.
func (r *Renderer) Close() error {
	r.cancel(ErrClosed)
	r.mutex.Lock()
	last := !r.closed && r.users == 0
	r.closed = true
	r.mutex.Unlock()
	if last {
		return r.shut()
	}
	return nil
}

func (r *Renderer) shut() error {
	if r.ready == nil {
		return nil
	}
	<-r.ready
	if r.err != nil {
		return nil // it never ran
	}
	return r.pool.Close()
}

// enter counts a user and starts PDFium for the first.
func (r *Renderer) enter() error {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.closed {
		return ErrClosed
	}
	r.users++
	if r.ready == nil {
		r.ready = make(chan struct{})
		go func() {
			defer close(r.ready)
			r.pool, r.err = startPDFium(context.WithoutCancel(r.ctx), compiledFolder())
		}()
	}
	return nil
}

func (r *Renderer) leave() {
	r.mutex.Lock()
	r.users--
	last := r.closed && r.users == 0
	r.mutex.Unlock()
	if last {
		_ = r.shut()
	}
}

// instance takes an instance of PDFium for one PDF.
func (r *Renderer) instance(ctx context.Context) (pdfium.Pdfium, error) {
	select {
	case <-r.ready:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	if r.err != nil {
		return nil, fmt.Errorf("PDFs cannot be read: %w", r.err)
	}
	in, err := r.pool.GetInstanceWithContext(ctx)
	if ctx.Err() != nil {
		if err == nil {
			_ = in.Close()
		}
		return nil, context.Cause(ctx)
	}
	if err != nil {
		return nil, fmt.Errorf("PDFs cannot be read: %w", err)
	}
	return in, nil
}

// Pages draws a PDF's pages one by one, in grey on white, at dpi dots an inch,
// as a printer would: a point of the page falls on the same fraction of a dot
// wherever it is, and a page that does not end on a whole dot is rounded up.
// Errors wrap ErrUnsupported, ErrBroken, ErrLocked or ErrTooLarge, or are the
// context's. A page that cannot be drawn gives its error, and the pages after
// it follow; any other error is the last value.
func (r *Renderer) Pages(ctx context.Context, pdf []byte, dpi float64) iter.Seq2[*image.Gray, error] {
	return func(yield func(*image.Gray, error) bool) {
		if err := checkDPI(dpi); err != nil {
			yield(nil, err)
			return
		}
		document, err := r.Open(ctx, pdf)
		if err != nil {
			yield(nil, err)
			return
		}
		defer document.Close()
		for number := 1; number <= document.Pages; number++ {
			picture, err := document.picture(number, dpi, nil)
			if document.ctx.Err() != nil {
				yield(nil, context.Cause(document.ctx))
				return
			}
			if !yield(picture, err) {
				return
			}
		}
	}
}

func checkDPI(dpi float64) error {
	if !(dpi > 0) || math.IsInf(dpi, 0) {
		return fmt.Errorf("a page cannot be drawn at %v dots an inch", dpi)
	}
	return nil
}

func checkPDF(pdf []byte) error {
	switch {
	case len(pdf) > files.MaxBytes:
		return &files.Fault{Kind: files.ErrTooLarge, Text: fmt.Sprintf("the PDF is larger than %d MiB", files.MaxBytes>>20), Advice: "split the PDF"}
	case !files.IsPDF(pdf):
		return &files.Fault{Kind: files.ErrUnsupported, Text: "this is not a PDF", Advice: "choose a PDF"}
	}
	return nil
}
