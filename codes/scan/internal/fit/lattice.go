// Package fit lays grids of modules over a picture, moves them to where their
// known modules are met, and samples the others.
package fit

import (
	"math"

	"graftslip/codes/scan/internal/pixels"
)

// Lattice is a grid of modules laid over a picture in perspective and bent:
// four corners, and six small bends of what lies between them. Bent round a
// stem, a slip's lines crowd towards its edges (crowding), lie off its middle
// (offset) or form arches.
type Lattice struct {
	Columns, Rows int
	corners       [4]pixels.Point // of the grid, clockwise from module (0, 0), in pixels
	bends         bends
	plane         plane // of the corners
}

// bends are in halves of the grid: 0.1 moves the place where it is most by a
// twentieth of the grid's side.
type bends struct {
	acrossOffset, acrossCrowding, acrossArch float64
	downOffset, downCrowding, downArch       float64
}

// plane maps the square from (-1, -1) to (1, 1) to a picture in perspective.
type plane struct{ a, b, c, d, e, f, g, h float64 }

// newPlane is the map that takes the corners of the square, clockwise from (-1,
// -1), to four points (P. Heckbert, Fundamentals of Texture Mapping and Image
// Warping, 1989, 2.2.3; memory). Corners that lie on one line give a map to
// nowhere, with values that are not finite.
func newPlane(to [4]pixels.Point) plane {
	// From the unit square first.
	sum := to[0].Sub(to[1]).Add(to[2]).Sub(to[3])
	u, v := to[1].Sub(to[2]), to[3].Sub(to[2])
	area := u.Cross(v)
	g, h := sum.Cross(v)/area, u.Cross(sum)/area
	a, b := to[1].Sub(to[0]).Add(to[1].Mul(g)), to[3].Sub(to[0]).Add(to[3].Mul(h))
	c := to[0]
	// (s+1)/2 for the coordinate of the unit square.
	return plane{a.X / 2, b.X / 2, c.X + (a.X+b.X)/2, a.Y / 2, b.Y / 2, c.Y + (a.Y+b.Y)/2, g / 2, h / 2}.scaled(1 + (g+h)/2)
}

// scaled divides by the weight in the middle, so that it is one.
func (p plane) scaled(weight float64) plane {
	f := 1 / weight
	return plane{p.a * f, p.b * f, p.c * f, p.d * f, p.e * f, p.f * f, p.g * f, p.h * f}
}

func (p *plane) at(s, t float64) pixels.Point {
	w := 1 / (p.g*s + p.h*t + 1)
	return pixels.Pt((p.a*s+p.b*t+p.c)*w, (p.d*s+p.e*t+p.f)*w)
}

// NewLattice lays a grid between corners.
func NewLattice(columns, rows int, corners [4]pixels.Point) Lattice {
	return Lattice{Columns: columns, Rows: rows, corners: corners, plane: newPlane(corners)}
}

// lattice lays the grid between corners.
func (q *Grid) lattice(corners [4]pixels.Point) Lattice {
	return NewLattice(q.Columns, q.Rows, corners)
}

// Place is the position of a point of the grid, in modules.
func (l *Lattice) Place(x, y float64) pixels.Point {
	s, t := 2*x/float64(l.Columns)-1, 2*y/float64(l.Rows)-1
	if l.bends != (bends{}) {
		b, ss, tt := &l.bends, 1-s*s, 1-t*t
		s, t = s+ss*(b.acrossOffset+b.acrossCrowding*s)+tt*b.acrossArch,
			t+tt*(b.downOffset+b.downCrowding*t)+ss*b.downArch
	}
	return l.plane.at(s, t)
}

// Outline is the corners of the grid as it is bent, in pixels.
func (l *Lattice) Outline() [4]pixels.Point {
	w, h := float64(l.Columns), float64(l.Rows)
	return [4]pixels.Point{l.Place(0, 0), l.Place(w, 0), l.Place(w, h), l.Place(0, h)}
}

// Module is the side of a module in the middle of the grid, in pixels.
func (l *Lattice) Module() float64 {
	x, y := float64(l.Columns)/2, float64(l.Rows)/2
	middle := l.Place(x, y)
	return math.Sqrt(math.Abs(l.Place(x+1, y).Sub(middle).Cross(l.Place(x, y+1).Sub(middle))))
}

// Sound reports whether the grid is laid out like a slip that is seen from the
// front: its corners go round one way and no side is much longer than the
// opposite.
func (l *Lattice) Sound() bool {
	c := l.Outline()
	sign := 0.0
	for i := range c {
		u, v := c[(i+1)%4].Sub(c[i]), c[(i+3)%4].Sub(c[i])
		cross := u.Cross(v)
		if math.IsNaN(cross) || math.IsInf(cross, 0) || cross == 0 || cross*sign < 0 {
			return false
		}
		sign = cross
	}
	for i := range 2 {
		a, b := c[i].Distance(c[i+1]), c[i+2].Distance(c[(i+3)%4])
		if a > 2*b || b > 2*a {
			return false
		}
	}
	return true
}

// LatticeMoves is the number of ways in which a lattice can be moved: each
// corner along both axes, and each bend.
const LatticeMoves = 14

// FlatMoves are those of the corners alone.
const FlatMoves = 8

// Near reports whether the corners of two lattices are within a module.
func (l *Lattice) Near(other *Lattice) bool {
	module := l.corners[0].Distance(l.corners[1]) / float64(l.Columns)
	for i := range l.corners {
		if l.corners[i].Distance(other.corners[i]) > module {
			return false
		}
	}
	return true
}

// Moved is the lattice with one of its parts moved by so many pixels, as seen
// where the move shows most.
func (l *Lattice) Moved(move int, pixels float64) Lattice {
	m := *l
	if move < FlatMoves {
		corner := &m.corners[move/2]
		if move%2 == 0 {
			corner.X += pixels
		} else {
			corner.Y += pixels
		}
		m.plane = newPlane(m.corners)
		return m
	}
	// A crowding moves most at 0.58 of the half, by 0.38 of its size.
	const most = 0.385
	size := pixels / (l.Module() * float64(l.Columns) / 2)
	switch move {
	case 8:
		m.bends.acrossOffset += size
	case 9:
		m.bends.acrossCrowding += size / most
	case 10:
		m.bends.acrossArch += size
	case 11:
		m.bends.downOffset += size
	case 12:
		m.bends.downCrowding += size / most
	case 13:
		m.bends.downArch += size
	}
	return m
}

// mostBend bounds each bend: a symbol of 90° round a stem needs 0.11 of
// crowding; more is a fit gone wrong.
const mostBend = 0.3

// Fitted moves the parts of a lattice, first by large steps, then by smaller
// ones, as long as score grows. The steps are shares of a module.
func (l Lattice) Fitted(score func(*Lattice) float64, from, to float64, moves int) (Lattice, float64) {
	best, match := l, score(&l)
	module := l.Module()
	if !l.Sound() {
		return best, match
	}
	Climb(from*module, to*module, 2, 4, moves, func(move int, by float64) bool {
		moved := best.Moved(move, by)
		if !moved.bends.small() {
			return false
		}
		if m := score(&moved); m > match {
			best, match = moved, m
			return true
		}
		return false
	})
	return best, match
}

// Climb makes moves by ever smaller steps, each one way and, where that improves
// nothing, the other, and again up to so many rounds a step while any improves.
func Climb(from, to, shrink float64, rounds, moves int, improves func(move int, by float64) bool) {
	for step := from; step >= to; step /= shrink {
		for improved, round := true, 0; improved && round < rounds; round++ {
			improved = false
			for move := range moves {
				improved = improves(move, step) || improves(move, -step) || improved
			}
		}
	}
}

func (b *bends) small() bool {
	for _, v := range [...]float64{b.acrossOffset, b.acrossCrowding, b.acrossArch, b.downOffset, b.downCrowding, b.downArch} {
		if math.Abs(v) > mostBend {
			return false
		}
	}
	return true
}
