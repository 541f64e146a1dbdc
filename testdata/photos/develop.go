package photos

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/bits"
)

// exposure is what happens behind the lens, and the light on the whole scene.
type exposure struct {
	light    colour  // light and its colour, in the middle of the picture
	gradient point   // change of light over the picture, as a share
	noise    float64 // standard deviation, of 255
	quality  int
	seed     uint64
}

// develop makes the picture: the ground at a scale, with the window in its
// place.
func (e exposure) develop(t *tones, size image.Point, ground *planes, scale float64, windows []*planes) ([]byte, error) {
	picture := image.NewYCbCr(image.Rectangle{Max: size}, image.YCbCrSubsampleRatio420)
	var rows [3][]float32
	for c := range rows {
		rows[c] = make([]float32, size.X)
	}
	blue, red := make([]float32, (size.X+1)/2), make([]float32, (size.X+1)/2)
	chance := e.seed | 1
	for y := range size.Y {
		for c := range rows {
			ground.row(c, scale, y, 0, rows[c])
			for _, w := range windows {
				if y >= w.box.Min.Y && y < w.box.Max.Y {
					copy(rows[c][w.box.Min.X:w.box.Max.X], w.pix[c][w.offset(w.box.Min.X, y):])
				}
			}
		}
		light := 1 + e.gradient.y*(float64(y)/float64(size.Y)-0.5) - e.gradient.x/2
		step := float32(e.gradient.x / float64(size.X))
		now := float32(light)
		luma := picture.Y[y*picture.YStride:][:size.X]
		for x := range luma {
			r := t.shown(rows[0][x] * e.light[0] * now)
			g := t.shown(rows[1][x] * e.light[1] * now)
			b := t.shown(rows[2][x] * e.light[2] * now)
			now += step
			value := 0.299*r + 0.587*g + 0.114*b
			blue[x/2] += b - value
			red[x/2] += r - value
			chance = chance*6364136223846793005 + 1442695040888963407
			luma[x] = whole(value + float32(e.noise)*t.noise[chance>>48])
		}
		if y%2 == 0 && y < size.Y-1 {
			continue
		}
		e.colours(t, picture, y/2, blue, red, 1/float32(1+y%2), chance)
		clear(blue)
		clear(red)
	}
	var content bytes.Buffer
	err := jpeg.Encode(&content, picture, &jpeg.Options{Quality: e.quality})
	return content.Bytes(), err
}

// colours writes one row of the colours of 2 × 2 pixels from sums over them.
// Noise in them is that of the pixels' mean.
func (e exposure) colours(t *tones, picture *image.YCbCr, y int, blue, red []float32, rows float32, chance uint64) {
	chance = bits.Reverse64(chance)
	noise := float32(e.noise) * 0.7
	for x := range blue {
		share := rows / 2
		if 2*x+1 >= picture.Rect.Dx() {
			share = rows
		}
		chance = chance*6364136223846793005 + 1442695040888963407
		picture.Cb[y*picture.CStride+x] = whole(128 + blue[x]*share*0.564 + noise*t.noise[chance>>48])
		picture.Cr[y*picture.CStride+x] = whole(128 + red[x]*share*0.713 + noise*t.noise[chance>>32&0xffff])
	}
}

// whole rounds to a byte, without going over.
func whole(v float32) byte {
	return byte(min(max(v+0.5, 0), 255))
}
