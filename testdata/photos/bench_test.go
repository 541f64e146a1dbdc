package photos

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkPhotograph is what photographs take.
func BenchmarkPhotograph(b *testing.B) {
	s, err := Print(context.Background())
	require.NoError(b, err)
	symbols := []string{"qr", "datamatrix", "code128"}
	for _, megapixels := range []float64{2, 12} {
		for _, kind := range []Kind{Plain, OutOfFocus, Motion, BentDrops, WholeTray} {
			b.Run(fmt.Sprintf("%s/%vMP", kind.Folder(), megapixels), func(b *testing.B) {
				seed := uint64(0)
				for b.Loop() {
					if kind == WholeTray {
						_, err = s.Tray(symbols[seed%3], 12, megapixels, seed)
					} else {
						_, err = s.Take(kind, symbols[seed%3], megapixels, seed)
					}
					require.NoError(b, err)
					seed++
				}
			})
		}
	}
}
