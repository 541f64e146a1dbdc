package scan

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
)

// A lattice that lies beside a printed symbol is moved on to it.
func TestLatticeIsFitted(t *testing.T) {
	const module = 5
	for kind, q := range map[string]*fit.Grid{QR: fit.QRGrid(21), DataMatrix: fit.MatrixGrid(14)} {
		page := canvas(40*module, 40*module)
		box := drawSymbol(page, pattern(t, kind, labelCode(3)), image.Pt(10*module, 10*module), module, 0, false)
		g := pixels.NewGrey(blurred(page, 1))
		v := pixels.NewLevel(g, 1)
		x0, y0, x1, y1 := float64(box.Min.X), float64(box.Min.Y), float64(box.Max.X), float64(box.Max.Y)
		right := [4]pixels.Point{pixels.Pt(x0, y0), pixels.Pt(x1, y0), pixels.Pt(x1, y1), pixels.Pt(x0, y1)}
		beside := right
		for i, move := range [4]pixels.Point{pixels.Pt(3, -2), pixels.Pt(-3, 2), pixels.Pt(2, 3), pixels.Pt(-2, -3)} {
			beside[i] = right[i].Add(move)
		}
		guess := fit.Guess{Grid: q, Lattice: fit.NewLattice(q.Columns, q.Rows, beside)}
		guess = guess.Fitted(v.Contrast(), 0.5, 0.06, fit.FlatMoves)
		for i, c := range guess.Lattice.Outline() {
			require.Less(t, c.Distance(right[i]), 0.4*module, "%s, corner %d", kind, i)
		}
		find, ok := decode.Square(g, &guess, func(string) bool { return true })
		require.True(t, ok, kind)
		require.Equal(t, labelCode(3), find.Text)
	}
}
