package search

import (
	"cmp"
	"math"
	"slices"

	"graftslip/codes/scan/internal/decode"
	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

// Reason is why a symbol could not be read.
type Reason uint8

const (
	Unclear  Reason = iota // none of the following: dirty, torn, under glare, bent, or no symbol at all
	TooSmall               // too few pixels a module
	Blurred                // out of focus or shaken
	CutOff                 // by the edge of the picture
)

// String returns "unclear", "too-small", "blurred" or "cut-off".
func (r Reason) String() string {
	return [...]string{"unclear", "too-small", "blurred", "cut-off"}[r]
}

// Missed is a grid that was met well, and whose text could not be read.
type Missed struct {
	decode.Find
	score  float64
	Reason Reason
}

// least is the score from which a grid that could not be read is reported, where
// nothing was read. Chance meets the few known modules of a Data Matrix best.
func (m Missed) least() float64 {
	switch m.Symbol {
	case fit.QR:
		return 1.22
	case fit.Code128:
		return 1.25
	}
	return 1.36
}

const (
	missedBeside = 1.4  // the same, beside symbols that were read
	missedBars   = 1.25 // of bars that no grid fits: the least that is reported
	maxMissed    = 20
)

// What is the likely reason that a symbol could not be read.
const (
	smallModule = 1.9 // pixels a module, of square symbols
	smallBar    = 1.2 // the same of bars
	softModule  = 0.6 // standard deviation of the blur, modules
)

// miss notes a guess on a level that fits well and could not be read.
func (s *search) miss(v *pixels.Level, g *fit.Guess) {
	seen := decode.Unread(g)
	m := Missed{seen.Scaled(v.Scale), g.Score, Unclear}
	if m.score < m.least() {
		return
	}
	whole, quiet := s.levels[0].Grey, m.Module
	if m.Symbol == fit.Code128 {
		quiet = max(6*quiet, 5*pixels.Block*v.Scale) // the ends of bars are known to some blocks
	}
	switch {
	case slices.ContainsFunc(m.Corners[:], func(p pixels.Point) bool {
		return p.X < quiet || p.Y < quiet || p.X > float64(whole.Width)-quiet || p.Y > float64(whole.Height)-quiet
	}):
		m.Reason = CutOff
	case m.Module < smallModule && m.Symbol != fit.Code128 || m.Module < smallBar:
		m.Reason = TooSmall
	case softness(v, seen.Corners) > softModule*seen.Module:
		m.Reason = Blurred
	}
	s.missing.Lock()
	defer s.missing.Unlock()
	s.missed = append(s.missed, m)
}

// hasNeighbour reports whether a symbol of the same kind and about the same size was
// read beside it, as on the labels of one tray.
func (s *search) hasNeighbour(f decode.Find) bool {
	const size = 1.35
	side := f.Corners[0].Distance(f.Corners[2])
	return slices.ContainsFunc(s.finds, func(k decode.Find) bool {
		other := k.Corners[0].Distance(k.Corners[2])
		return k.Symbol == f.Symbol && side < size*other && other < size*side
	})
}

// blurredSquare finds, where nothing else was, the likeliest area of edges that
// are as soft as of a symbol that is out of focus by more than can be read.
func (s *search) blurredSquare() (Missed, bool) {
	const (
		leastScore, leastOrder = 0.6, 0.2
		aspect                 = 1.33
		sides                  = 17.5 // modules, between the 14 and 21 of the symbols with codes
	)
	best := Missed{Reason: Blurred}
	for i := range s.levels {
		v := &s.levels[i]
		for _, area := range locate.NewEdgeDensity(s.ctx, v).Squares(s.ctx) {
			across, order := area.Direction(v.Grey)
			if area.Score < max(leastScore, best.score) || order < leastOrder {
				continue
			}
			c := area.Corners(v.Grey, across)
			wide, tall := c[0].Distance(c[1]), c[0].Distance(c[3])
			module := (wide + tall) / 2 / sides
			if wide < aspect*tall && tall < aspect*wide && softness(v, c) > softModule*module {
				best.score = area.Score
				best.Find = decode.Find{Module: module, Corners: c}.Scaled(v.Scale)
			}
		}
	}
	return best, best.score > 0
}

// softness is the standard deviation, in pixels, of the blur of the sharpest
// edge within corners.
func softness(v *pixels.Level, c [4]pixels.Point) float64 {
	const parts = 60
	box := fit.NewLattice(parts, parts, c)
	darkest, lightest, steepest := 255.0, 0.0, 0.0
	for i := range parts {
		for j := range parts {
			p := box.Place(float64(i)+0.5, float64(j)+0.5)
			value := v.At(p)
			darkest, lightest = min(darkest, value), max(lightest, value)
			dx := v.At(p.Add(pixels.Point{X: 1})) - v.At(p.Sub(pixels.Point{X: 1}))
			dy := v.At(p.Add(pixels.Point{Y: 1})) - v.At(p.Sub(pixels.Point{Y: 1}))
			steepest = max(steepest, math.Hypot(dx, dy)/2)
		}
	}
	// An edge blurred by a bell curve rises by 0.4 of its height in one
	// standard deviation.
	return 0.4 * (lightest - darkest) / max(steepest, 0.1)
}

// allMissed gives what was missed, each place once and none where something was
// found.
func (s *search) allMissed() []Missed {
	slices.SortStableFunc(s.missed, func(a, b Missed) int { return cmp.Compare(b.score, a.score) })
	beside := len(s.finds) > 0
	var all []Missed
	for _, f := range s.contested {
		all = append(all, Missed{Find: f, Reason: Unclear})
	}
	for _, m := range s.missed {
		near := func(f decode.Find) bool { return f.Holds(m.Middle()) || m.Holds(f.Middle()) }
		nearMissed := func(other Missed) bool { return near(other.Find) }
		if beside && m.score < missedBeside && !s.hasNeighbour(m.Find) || slices.ContainsFunc(s.finds, near) ||
			slices.ContainsFunc(all, nearMissed) || len(all) == maxMissed {
			continue
		}
		all = append(all, m)
	}
	if !beside && len(all) == 0 {
		if m, ok := s.blurredSquare(); ok {
			all = append(all, m)
		}
	}
	return all
}
