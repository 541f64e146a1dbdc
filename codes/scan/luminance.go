package scan

import "github.com/makiuchi-d/gozxing"

// luminance is a grey picture as the decoding library takes it.
type luminance struct {
	gozxing.LuminanceSourceBase
	pix []byte
}

// newLuminance copies a picture, enlarged a whole number of times (smoothly) and
// inverted.
func newLuminance(g *grey, zoom int, inverted bool) *luminance {
	l := &luminance{pix: make([]byte, g.width*zoom*g.height*zoom)}
	l.Width, l.Height = g.width*zoom, g.height*zoom
	for y := range l.Height {
		row := l.pix[y*l.Width:][:l.Width]
		for x := range row {
			row[x] = byte(g.at(point{(float64(x) + 0.5) / float64(zoom), (float64(y) + 0.5) / float64(zoom)}) + 0.5)
			if inverted {
				row[x] = 255 - row[x]
			}
		}
	}
	return l
}

func (l *luminance) GetRow(y int, row []byte) ([]byte, error) {
	if len(row) < l.Width {
		row = make([]byte, l.Width)
	}
	copy(row, l.pix[y*l.Width:][:l.Width])
	return row, nil
}

func (l *luminance) GetMatrix() []byte { return l.pix }

func (l *luminance) Invert() gozxing.LuminanceSource { return gozxing.LuminanceSourceInvert(l) }

func (l *luminance) String() string { return gozxing.LuminanceSourceString(l) }
