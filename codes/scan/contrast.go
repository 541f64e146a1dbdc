package scan

// contrast is a picture of how light each pixel is against what is around it:
// from 1 for black over 128 to 255 for white.
type contrast struct{ grey }

func newContrast(g *grey, t *thresholds) *contrast {
	c := &contrast{grey{pix: make([]byte, g.width*g.height), stride: g.width, width: g.width, height: g.height}}
	for y := range g.height {
		line, out := g.pix[y*g.stride:][:g.width], c.pix[y*c.stride:][:c.width]
		row := (y >> blockPower) * t.columns
		for column := range t.columns {
			level := int(t.level[row+column])
			scale := 2 * 127 << 8 / max(int(t.span[row+column]), minContrast)
			from := column << blockPower
			for x := from; x < min(from+block, g.width); x++ {
				out[x] = byte(128 + min(max((int(line[x])-level)*scale>>8, -127), 127))
			}
		}
	}
	return c
}

// at is the contrast at a position, from -1 to 1.
func (c *contrast) at(p point) float64 { return (c.grey.at(p) - 128) / 127 }
