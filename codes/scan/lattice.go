package scan

import "math"

// lattice is a grid of modules laid over a picture in perspective and bent:
// four corners, and six small bends of what lies between them. Bent round a
// stem, a slip's lines crowd towards its edges (crowding), lie off its middle
// (offset) or form arches.
type lattice struct {
	columns, rows int
	corners       [4]point // of the grid, clockwise from module (0, 0), in pixels
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
func newPlane(to [4]point) plane {
	// From the unit square first.
	sum := to[0].sub(to[1]).add(to[2]).sub(to[3])
	u, v := to[1].sub(to[2]), to[3].sub(to[2])
	area := u.cross(v)
	g, h := sum.cross(v)/area, u.cross(sum)/area
	a, b := to[1].sub(to[0]).add(to[1].mul(g)), to[3].sub(to[0]).add(to[3].mul(h))
	c := to[0]
	// (s+1)/2 for the coordinate of the unit square.
	return plane{a.x / 2, b.x / 2, c.x + (a.x+b.x)/2, a.y / 2, b.y / 2, c.y + (a.y+b.y)/2, g / 2, h / 2}.scaled(1 + (g+h)/2)
}

// scaled divides by the weight in the middle, so that it is one.
func (p plane) scaled(weight float64) plane {
	f := 1 / weight
	return plane{p.a * f, p.b * f, p.c * f, p.d * f, p.e * f, p.f * f, p.g * f, p.h * f}
}

func (p *plane) at(s, t float64) point {
	w := 1 / (p.g*s + p.h*t + 1)
	return point{(p.a*s + p.b*t + p.c) * w, (p.d*s + p.e*t + p.f) * w}
}

// newLattice lays a grid between corners.
func newLattice(columns, rows int, corners [4]point) lattice {
	return lattice{columns: columns, rows: rows, corners: corners, plane: newPlane(corners)}
}

// place is the position of a point of the grid, in modules.
func (l *lattice) place(x, y float64) point {
	s, t := 2*x/float64(l.columns)-1, 2*y/float64(l.rows)-1
	if l.bends != (bends{}) {
		b, ss, tt := &l.bends, 1-s*s, 1-t*t
		s, t = s+ss*(b.acrossOffset+b.acrossCrowding*s)+tt*b.acrossArch,
			t+tt*(b.downOffset+b.downCrowding*t)+ss*b.downArch
	}
	return l.plane.at(s, t)
}

// outline is the corners of the grid as it is bent, in pixels.
func (l *lattice) outline() [4]point {
	w, h := float64(l.columns), float64(l.rows)
	return [4]point{l.place(0, 0), l.place(w, 0), l.place(w, h), l.place(0, h)}
}

// module is the side of a module in the middle of the grid, in pixels.
func (l *lattice) module() float64 {
	x, y := float64(l.columns)/2, float64(l.rows)/2
	middle := l.place(x, y)
	return math.Sqrt(math.Abs(l.place(x+1, y).sub(middle).cross(l.place(x, y+1).sub(middle))))
}

// sound reports whether the grid is laid out like a slip that is seen from the
// front: its corners go round one way and no side is much longer than the
// opposite.
func (l *lattice) sound() bool {
	c := l.outline()
	sign := 0.0
	for i := range c {
		u, v := c[(i+1)%4].sub(c[i]), c[(i+3)%4].sub(c[i])
		cross := u.cross(v)
		if math.IsNaN(cross) || math.IsInf(cross, 0) || cross == 0 || cross*sign < 0 {
			return false
		}
		sign = cross
	}
	for i := range 2 {
		a, b := c[i].distance(c[i+1]), c[i+2].distance(c[(i+3)%4])
		if a > 2*b || b > 2*a {
			return false
		}
	}
	return true
}

// latticeMoves is the number of ways in which a lattice can be moved: each
// corner along both axes, and each bend.
const latticeMoves = 14

// flatMoves are those of the corners alone.
const flatMoves = 8

// near reports whether the corners of two lattices are within a module.
func (l *lattice) near(other *lattice) bool {
	module := l.corners[0].distance(l.corners[1]) / float64(l.columns)
	for i := range l.corners {
		if l.corners[i].distance(other.corners[i]) > module {
			return false
		}
	}
	return true
}

// moved is the lattice with one of its parts moved by so many pixels, as seen
// where the move shows most.
func (l *lattice) moved(move int, pixels float64) lattice {
	m := *l
	if move < flatMoves {
		corner := &m.corners[move/2]
		if move%2 == 0 {
			corner.x += pixels
		} else {
			corner.y += pixels
		}
		m.plane = newPlane(m.corners)
		return m
	}
	// A crowding moves most at 0.58 of the half, by 0.38 of its size.
	const most = 0.385
	size := pixels / (l.module() * float64(l.columns) / 2)
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

// fitted moves the parts of a lattice, first by large steps, then by smaller
// ones, as long as score grows. The steps are shares of a module.
func (l lattice) fitted(score func(*lattice) float64, from, to float64, moves int) (lattice, float64) {
	best, match := l, score(&l)
	module := l.module()
	if !l.sound() {
		return best, match
	}
	for step := from * module; step >= to*module; step /= 2 {
		for improved, rounds := true, 0; improved && rounds < 4; rounds++ {
			improved = false
			for move := range moves {
				for _, pixels := range [2]float64{step, -step} {
					moved := best.moved(move, pixels)
					if !moved.bends.small() {
						continue
					}
					if m := score(&moved); m > match {
						best, match, improved = moved, m, true
						break
					}
				}
			}
		}
	}
	return best, match
}

func (b *bends) small() bool {
	for _, v := range [...]float64{b.acrossOffset, b.acrossCrowding, b.acrossArch, b.downOffset, b.downCrowding, b.downArch} {
		if math.Abs(v) > mostBend {
			return false
		}
	}
	return true
}
