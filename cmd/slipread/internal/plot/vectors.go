package plot

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"

	"graftslip/layouts"
)

// vectorPaper is an SVG (Scalable Vector Graphics 1.1), a unit of which is a
// millimetre.
type vectorPaper struct {
	letters *letters
	out     bytes.Buffer
}

func newVectorPaper(l *letters, width, height float64, title string) *vectorPaper {
	p := &vectorPaper{letters: l}
	fmt.Fprintf(&p.out, `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="%[1]smm" height="%[2]smm" viewBox="0 0 %[1]s %[2]s" role="img" font-family="'DejaVu Sans Condensed','DejaVu Sans',sans-serif">
<title>%[3]s</title>
<rect width="%[1]s" height="%[2]s" fill="#fff"/>
`, number(width), number(height), escaped(title))
	return p
}

func (p *vectorPaper) line(from, to point, width float64, ink ink) {
	fmt.Fprintf(&p.out, `<path d="M%s %sL%s %s" stroke="%s" stroke-width="%s"/>`+"\n", number(from.x), number(from.y), number(to.x), number(to.y), ink.colour(), number(width))
}

func (p *vectorPaper) dot(at point, radius float64) {
	fmt.Fprintf(&p.out, `<circle cx="%s" cy="%s" r="%s"/>`+"\n", number(at.x), number(at.y), number(radius))
}

func (p *vectorPaper) lozenge(at point, reach float64) {
	var path []string
	for _, c := range lozengeCorners(at, reach) {
		path = append(path, number(c.x)+" "+number(c.y))
	}
	fmt.Fprintf(&p.out, `<path d="M%sZ" fill="#fff" stroke="#000" stroke-width="%s"/>`+"\n", strings.Join(path, "L"), number(lozengeLine))
}

// text writes the lines as parts of one text, so that it is found and copied as
// one. Each is given its length: another font than that which was measured is
// squeezed or stretched into it.
func (p *vectorPaper) text(at point, t text) {
	if len(t.lines) == 0 {
		return
	}
	weight := ""
	if t.weight == bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(&p.out, `<text font-size="%s"%s>`, number(t.size), weight)
	for i, line := range t.lines {
		if i > 0 {
			p.out.WriteString("\n")
		}
		fmt.Fprintf(&p.out, `<tspan x="%s" y="%s" textLength="%s" lengthAdjust="spacingAndGlyphs">%s</tspan>`,
			number(at.x-t.before(p.letters, line)), number(at.y+float64(i)*t.size*leading), number(p.letters.length(line, t.size, t.weight)), escaped(line))
	}
	p.out.WriteString("</text>\n")
}

func (p *vectorPaper) end() []byte {
	p.out.WriteString("</svg>\n")
	return p.out.Bytes()
}

func (i ink) colour() string { return fmt.Sprintf("#%02[1]x%02[1]x%02[1]x", uint8(i)) }

func escaped(text string) string {
	var out strings.Builder
	_ = xml.EscapeText(&out, []byte(text)) // a strings.Builder takes everything
	return out.String()
}

// number writes a length to a thousandth of a millimetre.
func number(mm float64) string { return layouts.FormatNumber(mm) }
