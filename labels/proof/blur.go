package proof

import (
	"image"
	"math"
)

// white is the light of a pixel without ink.
const white = 255

// blurred returns a picture as if its ink had spread: each pixel the mean of
// those around it, weighed by a Gaussian of so many pixels' standard deviation
// and cut off at three of them. 0 returns the picture itself.
func blurred(picture *image.Gray, deviation float64) *image.Gray {
	weights := gaussian(deviation)
	if len(weights) == 1 {
		return picture
	}
	reach := len(weights) / 2
	width, height := picture.Rect.Dx(), picture.Rect.Dy()
	// Ink is summed up, not light: most of a page has none. Along the rows each
	// inked pixel is spread; rows without ink stay nil.
	rows := make([][]uint8, height)
	sums := make([]uint32, width+2*reach)
	for y := range height {
		clear(sums)
		inked := false
		for x, light := range picture.Pix[y*picture.Stride:][:width] {
			if light == white {
				continue
			}
			inked = true
			ink := uint32(white - light)
			around := sums[x:][:len(weights)]
			for i, weight := range weights {
				around[i] += weight * ink
			}
		}
		if inked {
			rows[y] = make([]uint8, width)
			rounded(rows[y], sums[reach:])
		}
	}
	result := image.NewGray(picture.Rect)
	column := make([]uint32, width)
	for y := range height {
		clear(column)
		for i, weight := range weights {
			if from := y + i - reach; from >= 0 && from < height && rows[from] != nil {
				for x, ink := range rows[from] {
					column[x] += weight * uint32(ink)
				}
			}
		}
		line := result.Pix[y*result.Stride:][:width]
		rounded(line, column)
		for x, ink := range line {
			line[x] = white - ink
		}
	}
	return result
}

// whole is what the weights of a Gaussian sum up to.
const whole = 1 << 16

func rounded(to []uint8, sums []uint32) {
	for i := range to {
		to[i] = uint8((sums[i] + whole/2) / whole)
	}
}

// gaussian gives the weights of an odd number of neighbours, in parts of whole.
func gaussian(deviation float64) []uint32 {
	if !(deviation > 0) {
		return []uint32{whole}
	}
	reach := int(math.Ceil(3 * deviation))
	values := make([]float64, 2*reach+1)
	sum := 0.0
	for i := range values {
		distance := float64(i - reach)
		values[i] = math.Exp(-distance * distance / (2 * deviation * deviation))
		sum += values[i]
	}
	weights := make([]uint32, len(values))
	left := uint32(whole)
	for i, value := range values {
		weights[i] = uint32(value / sum * whole)
		left -= weights[i]
	}
	weights[reach] += left
	return weights
}
