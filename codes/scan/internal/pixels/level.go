package pixels

import "sync"

// Level is a picture made smaller by a whole scale, for modules of about 2 to 8
// pixels.
type Level struct {
	*Grey
	Scale      float64
	Thresholds func() *Thresholds
	Contrast   func() *Contrast
}

// NewLevel is a picture that was made smaller by scale.
func NewLevel(g *Grey, scale float64) Level {
	t := sync.OnceValue(func() *Thresholds { return newThresholds(g) })
	return Level{g, scale, t, sync.OnceValue(func() *Contrast { return newContrast(g, t()) })}
}

// Levels gives a picture, and it halved, quartered and so on.
func Levels(g *Grey) []Level {
	var levels []Level
	for scale := 1.0; min(g.Width, g.Height) >= leastSide; g, scale = g.half(), 2*scale {
		levels = append(levels, NewLevel(g, scale))
	}
	return levels
}

// leastSide is the shorter side, in pixels, of the smallest picture that is
// searched.
const leastSide = 16
