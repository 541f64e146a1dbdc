package plot

// point is a place, in millimetres from the upper left corner.
type point struct{ x, y float64 }

// ink is how dark something is: 0 black to 255 white.
type ink uint8

const (
	black ink = 0
	pale  ink = 190 // a line to look along, not at; still there in print
)

// Where a line of text stands at its place: how much of it is before.
const (
	start  = 0.0
	middle = 0.5
	end    = 1.0
)

// text is one text in lines, one below the other.
type text struct {
	lines  []string
	size   float64
	weight weight
	anchor float64
}

// paper is drawn on. Lengths are in millimetres.
type paper interface {
	line(from, to point, width float64, ink ink)
	dot(at point, radius float64)
	lozenge(at point, reach float64) // white, with a black line
	text(at point, t text)           // the first line stands on the point
}

// lozengeLine is the width of the line of a lozenge.
const lozengeLine = 0.32

// lozengeCorners are those of a square that stands on one of them.
func lozengeCorners(at point, reach float64) []point {
	return []point{{at.x, at.y - reach}, {at.x + reach, at.y}, {at.x, at.y + reach}, {at.x - reach, at.y}}
}

// before is how much of a line stands before its place.
func (t text) before(l *letters, line string) float64 {
	return t.anchor * l.length(line, t.size, t.weight)
}
