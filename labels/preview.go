package labels

import (
	"regexp"

	"graftslip/layouts"
)

// digits are those of a code, or of a part of one on a line of its own.
var digits = regexp.MustCompile(`\b\d{5}-\d{3}(-\d{4}-\d{2})?\b|^\d{4}-\d{2}$`)

var digit = regexp.MustCompile(`\d`)

// Preview returns the design as it looks without a code: a crossed box for each symbol, as
// large as its modules, and an x for each digit.
func (d Design) Preview() Design {
	texts := make([]Text, len(d.Texts))
	for i, text := range d.Texts {
		text.String = digits.ReplaceAllStringFunc(text.String, func(code string) string { return digit.ReplaceAllString(code, "x") })
		texts[i] = text
	}
	preview := Design{Texts: texts, Creases: d.Creases, Lines: d.Lines[:len(d.Lines):len(d.Lines)]}
	for _, symbol := range d.Symbols {
		box := symbol.modulesArea()
		c := canvas{design: &preview, place: layouts.Placed{Rect: layouts.Rect{Width: 1, Height: 1}}}
		const thickness = 0.25 // mm
		right, bottom := box.X+box.Width, box.Y+box.Height
		c.rectangle(box, thickness)
		c.line(box.X, box.Y, right, bottom, thickness)
		c.line(box.X, bottom, right, box.Y, thickness)
	}
	return preview
}

// modulesArea is the area of a symbol without its quiet zone.
func (s Symbol) modulesArea() layouts.Rect {
	quietX, quietY := s.Quiet()
	turn := s.Turn
	if s.Turned {
		turn = turn.Add(layouts.Clockwise)
	}
	if turn%2 == 1 {
		quietX, quietY = quietY, quietX
	}
	x, y := float64(quietX)*s.Module, float64(quietY)*s.Module
	return layouts.Rect{X: s.Place.X + x, Y: s.Place.Y + y, Width: s.Place.Width - 2*x, Height: s.Place.Height - 2*y}
}
