package mark

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	scaling "golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

// scene is a bench with labels on it, and where their symbols are.
type scene struct {
	picture *image.RGBA
	kind    symbol.Kind
	sights  []scan.Sight
	texts   []string
}

// newScene lays two columns of labels on a green bench and turns the picture
// about its middle, by an angle in degrees. Bars are 40 modules high.
func newScene(t *testing.T, kind symbol.Kind, labels, module int, degrees float64) *scene {
	t.Helper()
	const bars = 40
	flat := image.NewRGBA(image.Rect(0, 0, 300*module, 300*module))
	draw.Draw(flat, flat.Bounds(), image.NewUniform(color.RGBA{60, 90, 50, 255}), image.Point{}, draw.Src)
	s := &scene{kind: kind, picture: image.NewRGBA(flat.Bounds())}
	middle := float64(150 * module)
	sine, cosine := math.Sincos(degrees * math.Pi / 180)
	turned := func(x, y int) scan.Point {
		dx, dy := float64(x)-middle, float64(y)-middle
		return scan.Point{X: middle + cosine*dx - sine*dy, Y: middle + sine*dx + cosine*dy}
	}
	for n := range labels {
		text := []string{"26329001001747", "26329001001844", "26329001001941", "26329001002038"}[n]
		m, err := symbol.Encode(kind, text)
		require.NoError(t, err)
		high := m.Height()
		if kind == symbol.Code128 {
			high = bars
		}
		quiet, _ := m.Quiet()
		left, top := (70+n%2*110-m.Width()/2+20)*module, (90+n/2*75)*module
		label := image.Rect(left-quiet*module, top-5*module, left+(m.Width()+quiet)*module, top+(high+5)*module)
		draw.Draw(flat, label, image.White, image.Point{}, draw.Src)
		for y := range high {
			for x := range m.Width() {
				if m.Dark(x, min(y, m.Height()-1)) {
					at := image.Pt(left+x*module, top+y*module)
					draw.Draw(flat, image.Rectangle{at, at.Add(image.Pt(module, module))}, image.Black, image.Point{}, draw.Src)
				}
			}
		}
		right, bottom := left+m.Width()*module, top+high*module
		s.texts = append(s.texts, text)
		s.sights = append(s.sights, scan.Sight{Module: float64(module),
			Corners: [4]scan.Point{turned(left, top), turned(right, top), turned(right, bottom), turned(left, bottom)}})
	}
	draw.Draw(s.picture, s.picture.Bounds(), flat, image.Point{}, draw.Src) // the corners stay green
	if degrees == 0 {
		return s
	}
	about := f64.Aff3{cosine, -sine, middle - cosine*middle + sine*middle, sine, cosine, middle - sine*middle - cosine*middle}
	scaling.BiLinear.Transform(s.picture, about, flat, flat.Bounds(), draw.Src, nil)
	return s
}

// signs marks every symbol of a scene.
func (s *scene) signs(kind Kind, more ...string) []Sign {
	var all []Sign
	for i, sight := range s.sights {
		all = append(all, Sign{Symbol: s.kind.String(), Sight: sight, Lines: append([]string{s.texts[i]}, more...), Kind: kind})
	}
	return all
}

// within reports whether a pixel lies wholly within a symbol.
func within(sight scan.Sight, x, y int) bool {
	for i, c := range sight.Corners {
		from, to := point(c), point(sight.Corners[(i+1)%4])
		for _, corner := range []point{{float64(x), float64(y)}, {float64(x + 1), float64(y)}, {float64(x), float64(y + 1)}, {float64(x + 1), float64(y + 1)}} {
			if to.sub(from).cross(corner.sub(from)) < 0 {
				return false
			}
		}
	}
	return true
}
