package scan

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// missed is a grid that was met well, and whose text could not be read.
type missed struct {
	find
	score  float64
	reason Reason
}

// least is the score from which a grid that could not be read is told to the
// person where nothing was read. Chance meets the few known modules of a Data
// Matrix best.
func (m missed) least() float64 {
	switch m.symbol {
	case QR:
		return 1.22
	case Code128:
		return 1.25
	}
	return 1.36
}

const (
	missedBeside = 1.4  // the same, beside symbols that were read
	missedBars   = 1.25 // of bars that no grid fits: as little as is told
	mostMissed   = 20
)

// What is the likely reason that a symbol could not be read.
const (
	smallModule = 1.9 // pixels a module, of square symbols
	smallBar    = 1.2 // the same of bars
	softModule  = 0.6 // standard deviation of the blur, modules
)

// miss notes a grid on a level that was met well.
func (l *looking) miss(v *level, g guess, inverted bool) {
	lattice := g.lattice
	module := lattice.module()
	if g.symbol == Code128 {
		module = lattice.place(1, 0).distance(lattice.place(0, 0))
	}
	m := missed{scaled([]find{{symbol: g.symbol, module: module, corners: lattice.outline()}}, v.scale)[0], g.score, Unclear}
	whole := l.levels[0].grey
	quiet := m.module
	if m.symbol == Code128 {
		quiet = max(6*quiet, 5*block*v.scale) // the ends of bars are known to some blocks
	}
	switch {
	case slices.ContainsFunc(m.corners[:], func(p point) bool {
		return p.x < quiet || p.y < quiet || p.x > float64(whole.width)-quiet || p.y > float64(whole.height)-quiet
	}):
		m.reason = CutOff
	case m.module < smallModule && g.symbol != Code128 || m.module < smallBar:
		m.reason = TooSmall
	case v.softness(lattice.outline()) > softModule*module:
		m.reason = Blurred
	}
	if m.score < m.least() {
		return
	}
	l.missing.Lock()
	defer l.missing.Unlock()
	l.missed = append(l.missed, m)
}

// missBars notes a region with as many bars as a code has, over which no grid
// could be laid well.
func (l *looking) missBars(v *level, q *grid, r *region) {
	edge := barsRow{from: -r.width / 2, to: r.width / 2}
	lattice := newLattice(q.columns, q.rows, r.between(edge, edge))
	l.miss(v, guess{q, lattice, missedBars}, false)
}

// kindred reports whether a symbol of the same kind and about the same size was
// read beside it, as on the labels of one tray.
func (l *looking) kindred(f find) bool {
	const size = 1.35
	side := f.corners[0].distance(f.corners[2])
	return slices.ContainsFunc(l.finds, func(k find) bool {
		other := k.corners[0].distance(k.corners[2])
		return k.symbol == f.symbol && side < size*other && other < size*side
	})
}

// softSquare finds, where nothing else was, the likeliest area of edges that
// are as soft as of a symbol that is out of focus by more than can be read.
func (l *looking) softSquare() (missed, bool) {
	const (
		leastScore, leastOrder = 0.6, 0.2
		aspect                 = 1.33
		sides                  = 17.5 // modules, between the 14 and 21 of the symbols with codes
	)
	best := missed{reason: Blurred}
	for i := range l.levels {
		v := &l.levels[i]
		for _, s := range newBusyness(l.ctx, v).squares(l.ctx) {
			across, order := s.direction(v.grey)
			if s.score < max(leastScore, best.score) || order < leastOrder {
				continue
			}
			c := s.corners(v.grey, across)
			wide, tall := c[0].distance(c[1]), c[0].distance(c[3])
			if module := (wide + tall) / 2 / sides; wide < aspect*tall && tall < aspect*wide && v.softness(c) > softModule*module {
				best.score = s.score
				best.find = scaled([]find{{module: module, corners: c}}, v.scale)[0]
			}
		}
	}
	return best, best.score > 0
}

// softness is the standard deviation, in pixels, of the blur of the sharpest
// edge within corners.
func (v *level) softness(c [4]point) float64 {
	const parts = 60
	box := newLattice(parts, parts, c)
	darkest, lightest, steepest := 255.0, 0.0, 0.0
	for i := range parts {
		for j := range parts {
			p := box.place(float64(i)+0.5, float64(j)+0.5)
			value := v.at(p)
			darkest, lightest = min(darkest, value), max(lightest, value)
			dx, dy := v.at(p.add(point{1, 0}))-v.at(p.sub(point{1, 0})), v.at(p.add(point{0, 1}))-v.at(p.sub(point{0, 1}))
			steepest = max(steepest, math.Hypot(dx, dy)/2)
		}
	}
	// An edge blurred by a bell curve rises by 0.4 of its height in one
	// standard deviation.
	return 0.4 * (lightest - darkest) / max(steepest, 0.1)
}

// missedOn gives what was missed, in reading order, each place once and none
// where something was found.
func (l *looking) missedOn(g *grey, corner image.Point) []Missed {
	slices.SortStableFunc(l.missed, func(a, b missed) int { return cmp.Compare(b.score, a.score) })
	beside := len(l.finds) > 0
	var told []find
	var result []Missed
	for _, f := range l.contested {
		told = append(told, f)
		result = append(result, Missed{f.symbol, f.sight(g, corner), Unclear})
	}
	for _, m := range l.missed {
		near := func(f find) bool { return f.holds(m.middle()) || m.holds(f.middle()) }
		if beside && m.score < missedBeside && !l.kindred(m.find) || slices.ContainsFunc(l.finds, near) || slices.ContainsFunc(told, near) || len(told) == mostMissed {
			continue
		}
		told = append(told, m.find)
		result = append(result, Missed{m.symbol, m.sight(g, corner), m.reason})
	}
	if !beside && len(result) == 0 {
		if m, ok := l.softSquare(); ok {
			result = append(result, Missed{m.symbol, m.sight(g, corner), m.reason})
		}
	}
	sortReading(result, func(m Missed) Sight { return m.Sight })
	return result
}
