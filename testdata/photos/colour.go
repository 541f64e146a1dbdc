package photos

// colour is light in red, green and blue, 0 to 1 without any glare.
type colour [3]float32

// shade is a colour given by the numbers of a picture.
func shade(red, green, blue float64) colour {
	return colour{float32(lightOf(red)), float32(lightOf(green)), float32(lightOf(blue))}
}

func (c colour) times(f float32) colour { return colour{c[0] * f, c[1] * f, c[2] * f} }

func (c colour) plus(d colour) colour { return colour{c[0] + d[0], c[1] + d[1], c[2] + d[2]} }

// towards mixes a share of d into c.
func (c colour) towards(d colour, share float32) colour {
	return c.times(1 - share).plus(d.times(share))
}
