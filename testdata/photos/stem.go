package photos

// thickest is the radius in millimetres of the thickest stem; what is bent
// more gently stands free.
const thickest = 18.0

// stem draws the stem round which a label is bent.
func (g *ground) stem(l *laid, scale float64) {
	v := l.view
	// Bark lies a little below the label: seen at the same places, but darker
	// at its sides.
	tone := g.between(60, 115)
	bark := shade(tone, tone*g.between(0.8, 1.1), tone*g.between(0.55, 0.75))
	width := g.box.Dx()
	for y := range g.box.Dy() {
		for x := range width {
			s, met := v.sheet(point{(float64(x) + 0.5) / scale, (float64(y) + 0.5) / scale})
			if !met {
				continue
			}
			rough := 0.5 + g.noise.rough(s.at.x/60, s.at.y/60)
			if v.axisDown {
				rough *= 0.7 + 0.6*g.noise.at(s.at.x/9, s.at.y/120)
			} else {
				rough *= 0.7 + 0.6*g.noise.at(s.at.x/120, s.at.y/9)
			}
			g.set(y*width+x, bark.times(rough*l.bright(s.normal)))
		}
	}
}
