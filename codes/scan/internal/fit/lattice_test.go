package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"
)

func TestLatticeMeetsItsCorners(t *testing.T) {
	for _, corners := range [][4]pixels.Point{
		{pixels.Pt(10, 10), pixels.Pt(110, 10), pixels.Pt(110, 110), pixels.Pt(10, 110)},
		{pixels.Pt(10, 20), pixels.Pt(150, 5), pixels.Pt(120, 90), pixels.Pt(30, 130)}, // in perspective
		{pixels.Pt(110, 110), pixels.Pt(10, 110), pixels.Pt(10, 10), pixels.Pt(110, 10)},
	} {
		l := NewLattice(14, 21, corners)
		require.True(t, l.Sound())
		l.bends = bends{0.02, 0.1, 0, -0.03, 0.05, 0} // arches alone move corners' sides, not corners
		for i, p := range [4]pixels.Point{l.Place(0, 0), l.Place(14, 0), l.Place(14, 21), l.Place(0, 21)} {
			require.InDelta(t, corners[i].X, p.X, 1e-6)
			require.InDelta(t, corners[i].Y, p.Y, 1e-6)
		}
	}
	// A map in perspective keeps lines straight and is no mean of the corners.
	l := NewLattice(2, 2, [4]pixels.Point{pixels.Pt(0, 0), pixels.Pt(100, 0), pixels.Pt(70, 50), pixels.Pt(30, 50)})
	middle := l.Place(1, 1)
	require.InDelta(t, 0, middle.Sub(pixels.Pt(0, 0)).Cross(pixels.Pt(70, 50)), 1e-6, "on the one diagonal")
	require.InDelta(t, 0, middle.Sub(pixels.Pt(100, 0)).Cross(pixels.Pt(-70, 50)), 1e-6, "and on the other")
}

func TestUnsoundLattices(t *testing.T) {
	for reason, corners := range map[string][4]pixels.Point{
		"all in one place": {pixels.Pt(5, 5), pixels.Pt(5, 5), pixels.Pt(5, 5), pixels.Pt(5, 5)},
		"on one line":      {pixels.Pt(0, 0), pixels.Pt(10, 10), pixels.Pt(20, 20), pixels.Pt(30, 30)},
		"crossed":          {pixels.Pt(0, 0), pixels.Pt(100, 100), pixels.Pt(100, 0), pixels.Pt(0, 100)},
		"much longer":      {pixels.Pt(0, 0), pixels.Pt(300, 0), pixels.Pt(200, 50), pixels.Pt(100, 50)},
		"not a number":     {pixels.Pt(math.NaN(), 0), pixels.Pt(100, 0), pixels.Pt(100, 100), pixels.Pt(0, 100)},
	} {
		l := NewLattice(14, 14, corners)
		require.False(t, l.Sound(), reason)
		moved, score := l.Fitted(func(*Lattice) float64 { return 1 }, 1, 0.1, LatticeMoves)
		require.Equal(t, 1.0, score, "%s: it ends", reason)
		require.False(t, moved.Sound(), reason)
	}
}
