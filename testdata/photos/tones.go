package photos

import (
	"math"
	"math/rand/v2"
)

// Steps of the tables of tones.
const (
	lightSteps = 1 << 14
	noiseSteps = 1 << 16
)

// tones are tables: between the numbers of a picture (0 to 255) and light (0
// to 1) by the curve of sRGB (IEC 61966-2-1, memory), and of normal noise.
type tones struct {
	light  [256]float32
	number []float32 // of light in lightSteps, with one more at either end
	noise  []float32 // standard deviation 1
}

func newTones() tones {
	t := tones{number: make([]float32, lightSteps+1), noise: make([]float32, noiseSteps)}
	for n := range t.light {
		t.light[n] = float32(lightOf(float64(n)))
	}
	for i := range t.number {
		t.number[i] = float32(numberOf(float64(i) / lightSteps))
	}
	normal := rand.New(rand.NewPCG(1, 2))
	for i := range t.noise {
		t.noise[i] = float32(normal.NormFloat64())
	}
	return t
}

// lightOf is the light of a number of a picture.
func lightOf(number float64) float64 {
	v := number / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// numberOf is the number of a picture for a light.
func numberOf(light float64) float64 {
	if light <= 0.0031308 {
		return 255 * light * 12.92
	}
	return 255 * (1.055*math.Pow(light, 1/2.4) - 0.055)
}

// shown is the number of a light, cut off at black and at white as a sensor
// does.
func (t *tones) shown(light float32) float32 {
	i := light * lightSteps
	if i <= 0 {
		return 0
	}
	if i >= lightSteps {
		return t.number[lightSteps]
	}
	return t.number[int(i)]
}
