// Package prefetch lets a sequence work while its values are used.
package prefetch

import "iter"

// Values yields what a sequence does, while the sequence is at work on up to so many
// values after it in another goroutine. The sequence has ended when Values has.
func Values[V any](sequence iter.Seq2[V, error], values int) iter.Seq2[V, error] {
	return func(yield func(V, error) bool) {
		type made struct {
			value V
			err   error
		}
		queue, stop := make(chan made, values-1), make(chan struct{})
		go func() {
			defer close(queue)
			for value, err := range sequence {
				select {
				case queue <- made{value, err}:
				case <-stop:
					return
				}
			}
		}()
		defer func() {
			close(stop)
			for range queue { // until the goroutine has ended
			}
		}()
		for next := range queue {
			if !yield(next.value, next.err) {
				return
			}
		}
	}
}
