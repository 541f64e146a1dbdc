package photos

import "math"

// point is a place or a way in a plane.
type point struct{ x, y float64 }

func (p point) plus(q point) point    { return point{p.x + q.x, p.y + q.y} }
func (p point) minus(q point) point   { return point{p.x - q.x, p.y - q.y} }
func (p point) times(f float64) point { return point{p.x * f, p.y * f} }
func (p point) dot(q point) float64   { return p.x*q.x + p.y*q.y }
func (p point) length() float64       { return math.Hypot(p.x, p.y) }
func (p point) turned(a float64) point {
	sin, cos := math.Sincos(a)
	return point{p.x*cos - p.y*sin, p.x*sin + p.y*cos}
}
