package scan

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"
)

// warped turns a picture about its middle by degrees (clockwise as seen) and
// scales it, by the mean of 3 × 3 samples a pixel, on white; shift, in pixels,
// moves it under the pixels.
func warped(page *image.Gray, degrees, scale float64, shift pixels.Point) *image.Gray {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	w, h := float64(page.Rect.Dx()), float64(page.Rect.Dy())
	width := int(math.Ceil((w*math.Abs(cos) + h*math.Abs(sin)) * scale))
	height := int(math.Ceil((w*math.Abs(sin) + h*math.Abs(cos)) * scale))
	result := canvas(width, height)
	const part, unit = 3, 1 << 16 // samples a side of a pixel, fixed-point units a source pixel
	fixed := func(f float64) int { return int(math.Round(f * unit)) }
	along, across := fixed(cos/scale/part), fixed(sin/scale/part)
	for y := range height {
		// The first sample of the row.
		u := (0.5/part - shift.X - float64(width)/2) / scale
		v := (float64(y) + 0.5/part - shift.Y - float64(height)/2) / scale
		rowX, rowY := fixed(u*cos+v*sin+w/2), fixed(v*cos-u*sin+h/2)
		for x := range width {
			sum := 0
			for i := range part * part {
				dx, dy := part*x+i%part, i/part
				sx, sy := (rowX+dx*along+dy*across)>>16, (rowY-dx*across+dy*along)>>16
				if uint(sx) < uint(page.Rect.Dx()) && uint(sy) < uint(page.Rect.Dy()) {
					sum += int(page.Pix[sy*page.Stride+sx])
				} else {
					sum += 255
				}
			}
			result.Pix[y*result.Stride+x] = byte((sum + part*part/2) / (part * part))
		}
	}
	return result
}

// blurred spreads every pixel by a bell curve of a standard deviation in pixels.
func blurred(page *image.Gray, sigma float64) *image.Gray {
	reach := int(math.Ceil(3 * sigma))
	var weights []float64
	total := 0.0
	for i := -reach; i <= reach; i++ {
		weights = append(weights, math.Exp(-float64(i*i)/(2*sigma*sigma)))
		total += weights[len(weights)-1]
	}
	w, h := page.Rect.Dx(), page.Rect.Dy()
	pass := func(in []byte, step, length, lines, across int) []byte {
		out := make([]byte, len(in))
		for line := range lines {
			for i := range length {
				sum := 0.0
				for k, weight := range weights {
					j := min(max(i+k-reach, 0), length-1)
					sum += weight * float64(in[line*across+j*step])
				}
				out[line*across+i*step] = byte(sum/total + 0.5)
			}
		}
		return out
	}
	result := image.NewGray(page.Rect)
	result.Pix = pass(pass(page.Pix, 1, w, h, page.Stride), page.Stride, h, w, 1)
	return result
}

// noisy adds chance of a standard deviation in steps of luminance.
func noisy(page *image.Gray, sigma float64, seed uint64) *image.Gray {
	random := rand.New(rand.NewPCG(seed, 1))
	result := image.NewGray(page.Rect)
	for i, v := range page.Pix {
		result.Pix[i] = byte(min(max(float64(v)+sigma*random.NormFloat64()+0.5, 0), 255))
	}
	return result
}

// peppered makes a share of the pixels black or white.
func peppered(page *image.Gray, share float64, seed uint64) *image.Gray {
	random := rand.New(rand.NewPCG(seed, 2))
	result := image.NewGray(page.Rect)
	copy(result.Pix, page.Pix)
	for i := range result.Pix {
		if random.Float64() < share {
			result.Pix[i] = byte(255 * random.IntN(2))
		}
	}
	return result
}

// faded brings black and white to other levels; black above white inverts.
func faded(page *image.Gray, black, white float64) *image.Gray {
	result := image.NewGray(page.Rect)
	for i, v := range page.Pix {
		result.Pix[i] = byte(black + (white-black)*float64(v)/255 + 0.5)
	}
	return result
}

// shaded darkens a picture from its left, where it keeps a share of its light,
// to its right.
func shaded(page *image.Gray, least float64) *image.Gray {
	result := image.NewGray(page.Rect)
	for i, v := range page.Pix {
		x := float64(i%page.Stride) / float64(page.Stride)
		result.Pix[i] = byte(float64(v) * (least + (1-least)*x))
	}
	return result
}

// throughJPEG is what a JPEG of a quality gives back.
func throughJPEG(t testing.TB, page image.Image, quality int) image.Image {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, page, &jpeg.Options{Quality: quality}))
	picture, err := jpeg.Decode(&file)
	require.NoError(t, err)
	return picture
}

// asGray is a picture in grey.
func asGray(picture image.Image) *image.Gray {
	g := pixels.NewGrey(picture)
	return &image.Gray{Pix: g.Pix, Stride: g.Stride, Rect: image.Rect(0, 0, g.Width, g.Height)}
}
