package scan

import (
	"context"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"
)

// damagedLabels is the number of labels on each damaged picture.
const damagedLabels = 4

// damaged lays out four labels at four times the resolution of 300 dpi, so that
// pictures of them can be taken at any angle and size.
func damaged(t *testing.T, kind string) *sheet {
	plan := smallLabels(kind, 4*300, 4*3, false)
	plan.width, plan.height, plan.columns, plan.rows = 90, 50, 2, 2
	plan.label, plan.pitch, plan.corner = [2]float64{40, 24}, [2]float64{45, 25}, [2]float64{2, 1}
	return plan.draw(t)
}

// TestDamagedPictures is a table of how many of four labels must be read at
// least. A text that is on none of them is a failure, whatever the table says;
// doing better than the table is reported, so that it can be tightened.
func TestDamagedPictures(t *testing.T) {
	if testing.Short() {
		t.Skip("takes ninety pictures")
	}
	t.Parallel()
	type least struct{ qr, matrix, bars int }
	all := least{4, 4, 4}
	same := func(p *image.Gray) image.Image { return p }
	sheets := map[string]*sheet{}
	for _, kind := range kinds() {
		sheets[kind] = damaged(t, kind)
	}
	type view struct {
		kind            string
		module, degrees float64
		shift           pixels.Point
	}
	views := map[view]*image.Gray{} // the damages share a few views
	for _, test := range []struct {
		name    string
		module  float64 // pixels
		degrees float64
		damage  func(p *image.Gray) image.Image
		least   least
	}{
		{"straight", 3, 0, same, all},
		{"straight, half a pixel off", 3, 0, same, all},
		{"straight, two pixels a module", 2, 0, same, all},
		{"turned 1°", 3, 1, same, all},
		{"turned 3°", 3, 3, same, all},
		{"turned 7°, two pixels a module", 2, 7, same, all},
		{"turned 20°", 3, 20, same, all},
		{"turned 45°", 3, 45, same, all},
		{"turned 90°", 3, 90, same, all},
		{"turned 180°", 3, 180, same, all},
		{"turned 270°", 3, 270, same, all},
		{"turned 200°", 3, 200, same, all},
		{"large, seven pixels a module", 7, 2, same, all},
		{"blurred by 0.3 of a module", 3, 2, func(p *image.Gray) image.Image { return blurred(p, 0.9) }, all},
		{"blurred by 0.4 of a module", 3, 2, func(p *image.Gray) image.Image { return blurred(p, 1.2) }, all},
		{"blurred by 0.5 of a module", 3, 2, func(p *image.Gray) image.Image { return blurred(p, 1.5) }, least{4, 3, 4}},
		{"blurred by 0.6 of a module", 3, 2, func(p *image.Gray) image.Image { return blurred(p, 1.8) }, least{2, 1, 4}},
		{"noise of 15", 3, 2, func(p *image.Gray) image.Image { return noisy(p, 15, 1) }, all},
		{"noise of 40", 3, 2, func(p *image.Gray) image.Image { return noisy(p, 40, 2) }, all},
		{"noise of 15, two pixels a module", 2, 2, func(p *image.Gray) image.Image { return noisy(p, 15, 3) }, all},
		{"salt and pepper on 0.1 %", 3, 2, func(p *image.Gray) image.Image { return peppered(p, 0.001, 4) }, all},
		{"salt and pepper on 1 %", 3, 2, func(p *image.Gray) image.Image { return peppered(p, 0.01, 5) }, all},
		{"faded to a quarter of the contrast", 3, 2, func(p *image.Gray) image.Image { return noisy(faded(p, 120, 184), 4, 6) }, all},
		{"faded to an eighth", 3, 2, func(p *image.Gray) image.Image { return noisy(faded(p, 150, 182), 2, 7) }, all},
		{"dark", 3, 2, func(p *image.Gray) image.Image { return noisy(faded(p, 5, 50), 3, 8) }, all},
		{"light on dark", 3, 2, func(p *image.Gray) image.Image { return faded(p, 240, 15) }, all},
		{"light from one side", 3, 2, func(p *image.Gray) image.Image { return shaded(p, 0.2) }, all},
		{"JPEG of quality 75", 3, 2, func(p *image.Gray) image.Image { return throughJPEG(t, p, 75) }, all},
		{"JPEG of quality 30", 3, 2, func(p *image.Gray) image.Image { return throughJPEG(t, p, 30) }, all},
		{"a bit of everything", 3, 4, func(p *image.Gray) image.Image {
			return throughJPEG(t, noisy(blurred(shaded(faded(p, 60, 220), 0.6), 0.9), 8, 9), 60)
		}, all},
	} {
		for _, kind := range kinds() {
			s := sheets[kind]
			v := view{kind, test.module, test.degrees, pixels.Pt(0.37, 0.61)}
			if test.name == "straight, half a pixel off" {
				v.shift = pixels.Pt(0.5, 0.5)
			}
			if views[v] == nil {
				views[v] = warped(s.page, v.degrees, v.module/(4*3), v.shift)
			}
			founds, err := Picture(context.Background(), test.damage(views[v]), nil)
			require.NoError(t, err)
			require.Len(t, s.texts, damagedLabels)
			right := 0
			for _, f := range founds {
				require.Contains(t, s.texts, f.Text, "%s, %s: a wrong text was read", kind, test.name)
				require.Equal(t, kind, f.Symbol)
				right++
			}
			want := map[string]int{QR: test.least.qr, DataMatrix: test.least.matrix, Code128: test.least.bars}[kind]
			require.GreaterOrEqual(t, right, want, "%s, %s", kind, test.name)
			if right > want {
				t.Logf("better than the table: %s, %s: %d", kind, test.name, right)
			}
		}
	}
}

// TestPicturesWithoutSymbols looks for texts where there are none.
func TestPicturesWithoutSymbols(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(26329, 17))
	const width, height = 480, 360
	paint := func(shade func(x, y int) byte) *image.Gray {
		page := image.NewGray(image.Rect(0, 0, width, height))
		for i := range page.Pix {
			page.Pix[i] = shade(i%width, i/width)
		}
		return page
	}
	// field is chance in rectangles of some size.
	field := func(w, h int) *image.Gray {
		cells := make([]byte, (width/w+1)*(height/h+1))
		for i := range cells {
			cells[i] = byte(255 * random.IntN(2))
		}
		return paint(func(x, y int) byte { return cells[y/h*(width/w+1)+x/w] })
	}
	w := newWriter(t, 300)
	text := func(points float64) *image.Gray {
		page := canvas(width, height)
		words := []string{"LEFT", "Hill", "'Élan de Brumaire'", "FILE", "1111", "HIE", "□■", "IIIIIIIIII", "26329-004-0017-42", "|||| || |||| | ||", "×", "E E E"}
		for y := 4; y < height; y += int(points*300/72*1.2) + 1 {
			line := ""
			for len(line) < 60 {
				line += words[random.IntN(len(words))] + " "
			}
			w.write(page, image.Pt(4, y), points, line)
		}
		return page
	}
	tried := 0
	for round := range 8 {
		period := 2 + round%6
		for name, page := range map[string]*image.Gray{
			"paper":        paint(func(int, int) byte { return byte(255 - round) }),
			"noise":        paint(func(int, int) byte { return byte(random.IntN(256)) }),
			"modules":      field(period, period),
			"bars":         field(period, height),
			"short bars":   field(period, 12*period),
			"rungs":        field(width, period),
			"checks":       paint(func(x, y int) byte { return byte((x/period + y/period) % 2 * 255) }),
			"stripes":      paint(func(x, _ int) byte { return byte(x / period % 2 * 255) }),
			"small text":   text(6 + float64(round%3)),
			"large text":   text(10 + float64(round)),
			"grey modules": noisy(blurred(field(period, period), float64(period)/3), 10, uint64(round)),
			"turned bars":  warped(field(period, height), float64(round*7), 1, pixels.Point{}),
		} {
			founds, err := Picture(context.Background(), page, nil)
			require.NoError(t, err)
			require.Empty(t, founds, "%s, round %d", name, round)
			tried++
		}
	}
	t.Logf("%d pictures without a symbol, nothing read", tried)
}

// TestCutSymbols shows symbols of which a strip is missing: they are read right
// or not at all.
func TestCutSymbols(t *testing.T) {
	read, tried := 0, 0
	for _, kind := range kinds() {
		for part := range 12 {
			text := labelCode(part)
			page := canvas(460, 200)
			box := drawSymbol(page, pattern(t, kind, text), image.Pt(60, 60), 3, 60, false)
			cut := box
			cut.Min.X += box.Dx() * part / 12
			cut.Max.X = cut.Min.X + box.Dx()/12
			for y := cut.Min.Y; y < cut.Max.Y; y++ {
				for x := cut.Min.X; x < cut.Max.X; x++ {
					page.Pix[y*page.Stride+x] = 255
				}
			}
			founds, err := Picture(context.Background(), page, nil)
			require.NoError(t, err)
			for _, f := range founds {
				require.Equal(t, text, f.Text, "%s", kind)
				require.NotEqual(t, Code128, f.Symbol, "bars that are missing cannot be restored")
				read++
			}
			tried++
		}
	}
	t.Logf("%d of %d read", read, tried)
}
