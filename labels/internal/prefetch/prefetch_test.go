package prefetch

import (
	"errors"
	"iter"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestOf(t *testing.T) {
	fault := errors.New("fault")
	var counting iter.Seq2[int, error] = func(yield func(int, error) bool) {
		for n := range 100 {
			var err error
			if n == 3 {
				err = fault
			}
			if !yield(n, err) {
				return
			}
		}
	}
	for _, depth := range []int{1, 2, 64, 1000} {
		want := 0
		for n, err := range Values(counting, depth) {
			require.Equal(t, want, n)
			require.Equal(t, n == 3, err != nil)
			want++
		}
		require.Equal(t, 100, want)

		// A loop that is left early ends the sequence before Of returns.
		ended := false
		for n := range Values(func(yield func(int, error) bool) {
			defer func() { ended = true }()
			counting(yield)
		}, depth) {
			if n == 1 {
				break
			}
		}
		require.True(t, ended)
	}
}
