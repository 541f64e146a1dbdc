package photos

import (
	"image"
)

// sheet is a slip as it was printed and as it looks after what happened to it:
// red, green, blue as numbers of a picture, and how much of the sheet is left
// (0 where it is torn off), 4 bytes a pixel.
type sheet struct {
	width, height int
	pix           []byte
	scale         float64 // pixels of the sheet to a pixel of the slip
}

// prints are the shades of paper and ink, as numbers of a picture.
type prints struct{ paper, ink float64 }

// newSheet prints a slip. Where ink covers a part of a pixel, light mixes.
func newSheet(t *tones, cut *image.Gray, p prints) *sheet {
	s := &sheet{width: cut.Rect.Dx(), height: cut.Rect.Dy(), scale: 1}
	s.pix = make([]byte, 4*s.width*s.height)
	var numbers [256]byte
	paper, ink := lightOf(p.paper), lightOf(p.ink)
	for grey := range numbers {
		numbers[grey] = whole(t.shown(float32(ink + (paper-ink)*float64(grey)/255)))
	}
	for y := range s.height {
		row := cut.Pix[y*cut.Stride:][:s.width]
		for x, grey := range row {
			n := numbers[grey]
			at := s.pix[4*(y*s.width+x):][:4]
			at[0], at[1], at[2], at[3] = n, n, n, 255
		}
	}
	return s
}

// mark lays a colour over a pixel, as much as it covers. Pixels beside the
// sheet are left out.
func (s *sheet) mark(x, y int, red, green, blue, cover float64) {
	if x < 0 || y < 0 || x >= s.width || y >= s.height {
		return
	}
	at := s.pix[4*(y*s.width+x):][:3]
	for i, v := range [3]float64{red, green, blue} {
		at[i] = byte(float64(at[i])*(1-cover) + v*cover + 0.5)
	}
}

// halved is the sheet at half its size.
func (s *sheet) halved(t *tones) *sheet {
	h := &sheet{width: s.width / 2, height: s.height / 2, scale: s.scale / 2}
	h.pix = make([]byte, 4*h.width*h.height)
	for y := range h.height {
		for x := range h.width {
			one, two := s.pix[4*(2*y*s.width+2*x):][:8], s.pix[4*((2*y+1)*s.width+2*x):][:8]
			to := h.pix[4*(y*h.width+x):][:4]
			for c := range 3 {
				to[c] = whole(t.shown((t.light[one[c]] + t.light[one[c+4]] + t.light[two[c]] + t.light[two[c+4]]) / 4))
			}
			to[3] = byte((int(one[3]) + int(one[7]) + int(two[3]) + int(two[7]) + 2) / 4)
		}
	}
	return h
}

// look adds the light of the sheet at a point of the slip to a sum; it returns
// how much sheet there is.
func (s *sheet) look(t *tones, p point, sum *colour, bright float32) float32 {
	fx, fy := p.x*s.scale, p.y*s.scale
	if fx < 0 || fy < 0 {
		return 0
	}
	x, y := int(fx), int(fy)
	if x >= s.width || y >= s.height {
		return 0
	}
	at := s.pix[4*(y*s.width+x):][:4]
	left := float32(at[3]) / 255
	bright *= left
	sum[0] += t.light[at[0]] * bright
	sum[1] += t.light[at[1]] * bright
	sum[2] += t.light[at[2]] * bright
	return left
}
