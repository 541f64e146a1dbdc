package scan

import (
	"context"
	"io"
	"iter"
)

// Stream is Lines for a reader that may wait, such as a scanner's: it ends with
// ctx even while it waits for a line, with the context's error as the last
// value. What waits to be read is then left.
func Stream(ctx context.Context, r io.Reader) iter.Seq2[string, error] {
	type read struct {
		line string
		err  error
	}
	return func(yield func(string, error) bool) {
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		reads := make(chan read)
		go func() {
			defer close(reads)
			for line, err := range Lines(r) {
				select {
				case reads <- read{line, err}:
				case <-ctx.Done():
					return
				}
			}
		}()
		for {
			select {
			case <-ctx.Done():
				yield("", ctx.Err())
				return
			case got, more := <-reads:
				if !more || !yield(got.line, got.err) {
					return
				}
			}
		}
	}
}
