package photos

import (
	"image"
	"math"
	"strings"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// pen writes on a label without a code.
type pen struct {
	dice
	paper *image.Gray
}

// text prints a line with a size in points, its baseline starting at a point.
func (p *pen) text(line string, size float64, x, y int) error {
	parsed, err := opentype.Parse(dejavusans.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: size, DPI: drawnDPI})
	if err != nil {
		return err
	}
	defer face.Close()
	(&font.Drawer{Dst: p.paper, Src: image.Black, Face: face, Dot: fixed.P(x, y)}).DrawString(line)
	return nil
}

// word is made up of syllables.
func (p *pen) word() string {
	syllables := []string{"mor", "tel", "wi", "san", "ba", "rok", "li", "ne", "dus", "quo", "fer", "ai", "lun", "ste"}
	var word strings.Builder
	for range 1 + p.IntN(4) {
		word.WriteString(syllables[p.IntN(len(syllables))])
	}
	return word.String()
}

// nameAndDate prints a name and a date, or writes them with strokes of a pen.
func (p *pen) nameAndDate() error {
	height := p.paper.Rect.Dy()
	if p.chance(0.5) {
		for line := range 1 + p.IntN(3) {
			p.scrawl(float64(height) * (0.25 + 0.25*float64(line)))
		}
		return nil
	}
	size := float64(height) / drawnDPI * 72
	if err := p.text(strings.ToUpper(p.word()), size*0.3, height/5, height*2/5); err != nil {
		return err
	}
	return p.text("2027-0"+string(rune('1'+p.IntN(9)))+"-1"+string(rune('0'+p.IntN(10))), size*0.2, height/5, height*3/4)
}

// scrawl is a line of handwriting: loops of a pen that goes to the right.
func (p *pen) scrawl(y float64) {
	size, wide := p.between(1.2, 3)*millimetre, p.between(0.15, 0.4)*millimetre
	phase, slope := p.angle(), p.between(-0.05, 0.05)
	last := float64(p.paper.Rect.Dx()) * p.between(0.5, 0.95)
	for t := 0.0; ; t += 0.02 {
		x := size + t*size*0.35 + 0.6*size*math.Cos(t*2.7+phase)
		if x > last {
			return
		}
		tall := size * (0.5 + 0.5*math.Sin(t*0.61+phase))
		if math.Sin(t*0.37+2*phase) < -0.75 {
			continue // between words
		}
		p.dab(point{x, y + slope*x + tall*math.Sin(t*3.1)}, wide)
	}
}

// dab blackens a disc.
func (p *pen) dab(at point, radius float64) {
	for y := int(at.y - radius); y <= int(at.y+radius); y++ {
		for x := int(at.x - radius); x <= int(at.x+radius); x++ {
			if image.Pt(x, y).In(p.paper.Rect) && at.minus(point{float64(x), float64(y)}).length() <= radius {
				p.paper.Pix[y*p.paper.Stride+x] = 0
			}
		}
	}
}

// dense fills the label with small print.
func (p *pen) dense() error {
	size := p.between(5, 9)
	step := int(size * 1.25 * drawnDPI / 72)
	for y := step; y < p.paper.Rect.Dy(); y += step {
		var line strings.Builder
		for float64(line.Len())*size*0.55*drawnDPI/72 < float64(p.paper.Rect.Dx()) {
			line.WriteString(p.word() + " ")
		}
		if err := p.text(line.String(), size, step/2, y); err != nil {
			return err
		}
	}
	return nil
}
