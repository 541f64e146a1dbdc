package scan

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/internal/restore"
)

func TestLatticeMeetsItsCorners(t *testing.T) {
	for _, corners := range [][4]point{
		{{10, 10}, {110, 10}, {110, 110}, {10, 110}},
		{{10, 20}, {150, 5}, {120, 90}, {30, 130}}, // in perspective
		{{110, 110}, {10, 110}, {10, 10}, {110, 10}},
	} {
		l := newLattice(14, 21, corners)
		require.True(t, l.sound())
		l.bends = bends{0.02, 0.1, 0, -0.03, 0.05, 0} // arches alone move corners' sides, not corners
		for i, p := range [4]point{l.place(0, 0), l.place(14, 0), l.place(14, 21), l.place(0, 21)} {
			require.InDelta(t, corners[i].x, p.x, 1e-6)
			require.InDelta(t, corners[i].y, p.y, 1e-6)
		}
	}
	// A map in perspective keeps lines straight and is no mean of the corners.
	l := newLattice(2, 2, [4]point{{0, 0}, {100, 0}, {70, 50}, {30, 50}})
	middle := l.place(1, 1)
	require.InDelta(t, 0, middle.sub(point{0, 0}).cross(point{70, 50}), 1e-6, "on the one diagonal")
	require.InDelta(t, 0, middle.sub(point{100, 0}).cross(point{-70, 50}), 1e-6, "and on the other")
}

func TestUnsoundLattices(t *testing.T) {
	for reason, corners := range map[string][4]point{
		"all in one place": {{5, 5}, {5, 5}, {5, 5}, {5, 5}},
		"on one line":      {{0, 0}, {10, 10}, {20, 20}, {30, 30}},
		"crossed":          {{0, 0}, {100, 100}, {100, 0}, {0, 100}},
		"much longer":      {{0, 0}, {300, 0}, {200, 50}, {100, 50}},
		"not a number":     {{math.NaN(), 0}, {100, 0}, {100, 100}, {0, 100}},
	} {
		l := newLattice(14, 14, corners)
		require.False(t, l.sound(), reason)
		moved, score := l.fitted(func(*lattice) float64 { return 1 }, 1, 0.1, latticeMoves)
		require.Equal(t, 1.0, score, "%s: it ends", reason)
		require.False(t, moved.sound(), reason)
	}
}

// A lattice that lies beside a printed symbol is moved on to it.
func TestLatticeIsFitted(t *testing.T) {
	const module = 5
	for kind, q := range map[string]*grid{QR: qrGrid(21), DataMatrix: matrixGrid(14, 14)} {
		page := canvas(40*module, 40*module)
		box := drawSymbol(page, pattern(t, kind, labelCode(3)), image.Pt(10*module, 10*module), module, 0, false)
		g := newGrey(blurred(page, 1))
		v := newLevel(g, 1)
		x0, y0, x1, y1 := float64(box.Min.X), float64(box.Min.Y), float64(box.Max.X), float64(box.Max.Y)
		right := [4]point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
		beside := right
		for i, move := range [4]point{{3, -2}, {-3, 2}, {2, 3}, {-2, -3}} {
			beside[i] = right[i].add(move)
		}
		l := newLattice(q.columns, q.rows, beside)
		score := func(l *lattice) float64 { return q.score(v.contrast(), l, false) }
		fitted, _ := l.fitted(score, 0.5, 0.06, flatMoves)
		for i, c := range fitted.outline() {
			require.Less(t, c.distance(right[i]), 0.4*module, "%s, corner %d", kind, i)
		}
		text, ok := q.read(g, &fitted, false, func(string) bool { return true })
		require.True(t, ok, kind)
		require.Equal(t, labelCode(3), text)
	}
}

// Blur mixes each module with its neighbours: worked out, fewer are wrong than
// told by their light alone.
func TestEqualizer(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 9))
	var plainWrong, equalizedWrong int
	for range 20 {
		const side = 21
		s := &samples{side, side, make([]float64, (side+2)*(side+2))}
		dark := make([]bool, len(s.values))
		first := make([]bool, side*side)
		for i := range first {
			first[i] = random.IntN(2) == 0
			dark[s.index(i%side, i/side)] = first[i]
		}
		wide := side + 2
		for y := 1; y < wide-1; y++ {
			for x := 1; x < wide-1; x++ {
				for k, weight := range [9]float64{0.02, 0.18, 0.02, 0.05, 0.46, 0.05, 0.02, 0.18, 0.02} { // shaken up and down
					s.values[y*wide+x] += weight * light(dark[(y+k/3-1)*wide+x+k%3-1])
				}
				s.values[y*wide+x] += 0.03 * random.NormFloat64()
			}
		}
		plain := parted(s.evened(3))
		known := []known{}
		for i := range side {
			known = append(known, knownAt(i, 0, first[i]), knownAt(0, i, first[i*side]))
		}
		worked, explained := equalized(s, plain, known)
		require.Len(t, worked, side*side)
		require.Greater(t, explained, 0.9)
		for i := range first {
			if plain[i].Dark != first[i] {
				plainWrong++
			}
			if worked[i].Dark != first[i] {
				equalizedWrong++
			}
		}
	}
	t.Logf("wrong of %d modules: %d by their light, %d worked out", 20*21*21, plainWrong, equalizedWrong)
	require.Greater(t, plainWrong, 300, "the blur is one that matters")
	require.Less(t, equalizedWrong, plainWrong/2)
	var none []restore.Module
	modules, _ := equalized(&samples{3, 3, make([]float64, 25)}, make([]restore.Module, 9), nil)
	require.Equal(t, none, modules, "a field without differences tells nothing")
}

func knownAt(x, y int, dark bool) known {
	return known{float64(x) + 0.5, float64(y) + 0.5, !dark, 1}
}
