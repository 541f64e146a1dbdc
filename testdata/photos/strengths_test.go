package photos

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
)

// newShot is a photograph up to where its camera stands.
func (s *Slips) newShot(t *testing.T, kind Kind, of symbol.Kind, megapixels float64, seed uint64) *shot {
	t.Helper()
	shot, err := s.shot(kind, of.String(), megapixels, seed)
	require.NoError(t, err)
	return shot
}

// testStand: each kind has modules within its range and the whole symbol with
// its quiet zone at least 10 pixels inside the picture.
func (s *Slips) testStand(t *testing.T) {
	t.Parallel()
	require.Len(t, Kinds(), 28)
	for _, kind := range Kinds() {
		for _, of := range kinds() {
			for seed := range uint64(40) {
				for _, c := range []struct {
					megapixels  float64
					least, most float64
				}{{2, 2.5, 7}, {12, 3, 14}} {
					if kind == Small {
						c.least, c.most = 1.8, 2.5
					}
					shot := s.newShot(t, kind, of, c.megapixels, seed)
					const slack = 0.01
					require.GreaterOrEqual(t, shot.module, c.least-slack, "%s %v %d", kind, of, seed)
					require.LessOrEqual(t, shot.module, c.most+slack, "%s %v %d", kind, of, seed)
					low, high := shot.reach(&shot.view)
					require.GreaterOrEqual(t, min(low.x, low.y), 10-slack, "%s %v %d", kind, of, seed)
					require.LessOrEqual(t, high.x, float64(shot.size.X)-10+slack, "%s %v %d", kind, of, seed)
					require.LessOrEqual(t, high.y, float64(shot.size.Y)-10+slack, "%s %v %d", kind, of, seed)
				}
			}
		}
	}
}

// testShares: damages take the shares that they should, counted anew.
func (s *Slips) testShares(t *testing.T) {
	t.Parallel()
	for _, of := range kinds() {
		for seed := range uint64(4) {
			shot := s.newShot(t, Glare, of, 2, seed)
			glare := shot.newGleams().share(&shot.view, shot.cut.symbol, 150)
			require.True(t, glare > 0.045 && glare < 0.155, "glare on %v, %d: %v", of, seed, glare)

			shot = s.newShot(t, Torn, of, 2, seed)
			shot.shades()
			torn := shot.marked()
			gone := 0
			for y := shot.cut.box().Min.Y; y < shot.cut.box().Max.Y; y++ {
				for x := shot.cut.box().Min.X; x < shot.cut.box().Max.X; x++ {
					if torn.pix[4*(y*torn.width+x)+3] < 128 {
						gone++
					}
				}
			}
			share := float64(gone) / float64(shot.cut.box().Dx()*shot.cut.box().Dy())
			require.True(t, share > 0.025 && share < 0.105, "torn off %v, %d: %v", of, seed, share)

			shot = s.newShot(t, Dirt, of, 2, seed)
			marks := newMarks(shot.dice, newSheet(shot.tones, shot.cut.picture, prints{220, 30}), shot.cut)
			wanted := shot.within(shot.harm.dirt)
			marks.dirt(wanted)
			dirt := float64(marks.inside) / float64(marks.symbol.Dx()*marks.symbol.Dy())
			require.InDelta(t, wanted, dirt, 0.01, "dirt on %v, %d", of, seed)

			shot = s.newShot(t, Soil, of, 2, seed)
			marks = newMarks(shot.dice, newSheet(shot.tones, shot.cut.picture, prints{220, 30}), shot.cut)
			wanted = shot.within(shot.harm.soil)
			marks.soil(wanted)
			soil := marks.covered(marks.slip.quietSides())
			require.True(t, soil >= wanted && soil < wanted+0.25, "soil around %v, %d: %v of %v", of, seed, soil, wanted)
			within := marks.symbol.Inset(int(marks.slip.module/2) + 1)
			for y := within.Min.Y; y < within.Max.Y; y++ {
				for x := within.Min.X; x < within.Max.X; x++ {
					require.False(t, marks.marked[y*marks.sheet.width+x], "soil deep in the symbol")
				}
			}
		}
	}
}

// TestBlur: each blur has the standard deviation that it should, keeps all
// light and shifts nothing.
func TestBlur(t *testing.T) {
	const side, middle = 81, 40
	for _, c := range []struct {
		name   string
		blur   func([]float32)
		across float64 // standard deviation
		down   float64
	}{
		{"bell", func(p []float32) { blurBell(p, side, side, 3) }, 3, 3},
		{"boxes", func(p []float32) { blurBoxes(p, side, side, 4) }, 4, 4},
		{"disc", func(p []float32) { blurDisc(p, side, side, 6) }, 3, 3},
		{"small disc", func(p []float32) { blurDisc(p, side, side, 1.4) }, 0.7, 0.7},
		{"smear", func(p []float32) { smear(p, side, side, point{12, 0}) }, 12 / math.Sqrt(12), 0},
		{"slanting smear", func(p []float32) { smear(p, side, side, point{6, -8}) }, 6 / math.Sqrt(12), 8 / math.Sqrt(12)},
	} {
		plane := make([]float32, side*side)
		plane[middle*side+middle] = 1
		c.blur(plane)
		var sum, x1, y1, x2, y2 float64
		for i, v := range plane {
			x, y, v := float64(i%side-middle), float64(i/side-middle), float64(v)
			sum, x1, y1, x2, y2 = sum+v, x1+v*x, y1+v*y, x2+v*x*x, y2+v*y*y
		}
		require.InDelta(t, 1, sum, 0.01, c.name)
		require.InDelta(t, 0, x1, 0.01, c.name)
		require.InDelta(t, 0, y1, 0.01, c.name)
		require.InDelta(t, c.across, math.Sqrt(x2), 0.1*c.across+0.3, c.name)
		require.InDelta(t, c.down, math.Sqrt(y2), 0.1*c.down+0.3, c.name)
	}
}
