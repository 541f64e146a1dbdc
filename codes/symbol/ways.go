package symbol

import "math"

// way is one way to put a symbol into a room.
type way struct {
	turned bool
	limits []limit
	curve  int     // modules that the 30° rule limits, 0 if none
	bar    float64 // length in mm that is there for the bars, Code 128 only
}

// limit is a number of modules, side by side, and the length in mm that they
// must not exceed.
type limit struct {
	modules int
	length  float64
}

// ways returns the ways to put m into room, the one to be preferred first.
func (m Modules) ways(room Room) []way {
	columns, rows := m.withQuiet()
	if m.kind != Code128 {
		w := way{limits: []limit{{columns, room.Width}, {rows, room.Height}}}
		switch room.Around {
		case AcrossWidth:
			w.bend(m.width, room)
		case AcrossHeight:
			w.bend(m.height, room)
		}
		return []way{w}
	}
	upright := way{limits: []limit{{columns, room.Width}}, bar: barIn(room.Height)}
	turned := way{limits: []limit{{columns, room.Height}}, bar: barIn(room.Width), turned: true}
	switch room.Around {
	case AcrossWidth:
		upright.bend(m.width, room)
	case AcrossHeight:
		turned.bend(m.width, room)
	}
	return []way{upright, turned}
}

// barIn returns the length of the bars in a room of so many mm.
func barIn(length float64) float64 { return max(0, min(length, longestBar)) }

// withQuiet returns the columns and rows of m and its quiet zone.
func (m Modules) withQuiet() (columns, rows int) {
	x, y := m.Quiet()
	return m.width + 2*x, m.height + 2*y
}

// bend puts modules that lie across the curve under the 30° rule.
func (w *way) bend(modules int, room Room) {
	w.curve = modules
	w.limits = append(w.limits, limit{modules, spanOfDiameter * room.Diameter})
}

// dots returns the most whole dots a module that keep all limits, and that
// make at most most mm unless most is 0.
func (w way) dots(dot, most float64) int {
	module := math.Inf(1)
	if most > 0 {
		module = most + tolerance
	}
	for _, l := range w.limits {
		module = min(module, (l.length+tolerance)/float64(l.modules))
	}
	return max(0, int(math.Floor(module/dot)))
}

// barred reports whether the bars, if m has any, are long enough.
func (m Modules) barred(w way) bool {
	return m.kind != Code128 || atLeast(w.bar, shortestBar)
}

// nearness says how near a way to put a Code 128 comes to fitting: how much of
// the least module it has, or of the shortest bar, whichever is less.
func (w way) nearness(module, least float64) float64 {
	return min(module/least, w.bar/shortestBar)
}
