package photos

import "math"

// noiseSide is the side of a tile of noise, a power of two.
const noiseSide = 256

// noise is a tile of chance that repeats, smooth between its points.
type noise struct{ value []float32 } // 0 to 1

func newNoise(d dice) *noise {
	n := &noise{value: make([]float32, noiseSide*noiseSide)}
	for i := range n.value {
		n.value[i] = d.Float32()
	}
	return n
}

// at is the noise at a place, with a point of the tile at each whole number.
func (n *noise) at(x, y float64) float32 {
	left, upper := math.Floor(x), math.Floor(y)
	px, py := float32(x-left), float32(y-upper)
	x0, y0 := int(left)&(noiseSide-1), int(upper)&(noiseSide-1)
	x1, y1 := (x0+1)&(noiseSide-1), (y0+1)&(noiseSide-1)
	px, py = px*px*(3-2*px), py*py*(3-2*py)
	a, b := n.value[y0*noiseSide+x0], n.value[y0*noiseSide+x1]
	c, d := n.value[y1*noiseSide+x0], n.value[y1*noiseSide+x1]
	a, c = a+(b-a)*px, c+(d-c)*px
	return a + (c-a)*py
}

// rough is noise with two finer layers over it.
func (n *noise) rough(x, y float64) float32 {
	return (4*n.at(x, y) + 2*n.at(2.1*x+17, 2.1*y+5) + n.at(4.3*x+3, 4.3*y+29)) / 7
}

// cell is the value of a point of the tile.
func (n *noise) cell(x, y int) float32 {
	return n.value[y&(noiseSide-1)*noiseSide+x&(noiseSide-1)]
}
