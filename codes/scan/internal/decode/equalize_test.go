package decode

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/restore"
)

// Blur mixes each module with its neighbours: worked out, fewer are wrong than
// told by their light alone.
func TestEqualizer(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 9))
	var plainWrong, equalizedWrong int
	for range 20 {
		const side = 21
		s := &fit.Samples{Columns: side, Rows: side, Values: make([]float64, (side+2)*(side+2))}
		dark := make([]bool, len(s.Values))
		first := make([]bool, side*side)
		for i := range first {
			first[i] = random.IntN(2) == 0
			dark[s.Index(i%side, i/side)] = first[i]
		}
		wide := side + 2
		for y := 1; y < wide-1; y++ {
			for x := 1; x < wide-1; x++ {
				for k, weight := range [9]float64{0.02, 0.18, 0.02, 0.05, 0.46, 0.05, 0.02, 0.18, 0.02} { // shaken up and down
					s.Values[y*wide+x] += weight * light(dark[(y+k/3-1)*wide+x+k%3-1])
				}
				s.Values[y*wide+x] += 0.03 * random.NormFloat64()
			}
		}
		plain := classified(s.Normalized(3))
		known := []fit.Known{}
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
	modules, _ := equalized(&fit.Samples{Columns: 3, Rows: 3, Values: make([]float64, 25)}, make([]restore.Module, 9), nil)
	require.Equal(t, none, modules, "a field without differences tells nothing")
}

func knownAt(x, y int, dark bool) fit.Known {
	return fit.Known{X: float64(x) + 0.5, Y: float64(y) + 0.5, Light: !dark, Weight: 1}
}
