package pdf

import (
	"math"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// symbol draws all dark modules as one path of whole printer dots, so that no
// viewer shows seams between them.
func (s *sheet) symbol(sym labels.Symbol, place layouts.Placed) {
	on := s.symbolPlace(sym, place)
	quietX, quietY := sym.Quiet()
	module, tall := sym.Module, sym.Module
	if sym.Modules.Height() == 1 {
		tall = sym.Bar
	}
	s.buffer = s.buffer[:0]
	for y := range sym.Modules.Height() {
		for x := 0; x < sym.Modules.Width(); x++ {
			from := x
			for x < sym.Modules.Width() && sym.Dark(x, y) {
				x++
			}
			if x > from {
				s.rectangle(on.Area(layouts.Rect{
					X: float64(quietX+from) * module, Y: float64(quietY)*module + float64(y)*tall,
					Width: float64(x-from) * module, Height: tall,
				}))
			}
		}
	}
	s.pdf.RawWriteStr(string(append(s.buffer, 'f')))
}

// symbolPlace is where a symbol is printed, quiet zone included, and how its
// modules are turned there. Its middle is brought to its corrected place. Its
// modules keep their size: they are dots of the printer, whatever those measure.
func (d Document) symbolPlace(sym labels.Symbol, place layouts.Placed) layouts.Placed {
	on := layouts.Placed{Rect: place.Area(sym.Place), Turn: place.Turn.Add(sym.Turn)}
	if sym.Turned {
		on.Turn = on.Turn.Add(layouts.Clockwise)
	}
	middleX, middleY := d.Correction.Point(on.X+on.Width/2, on.Y+on.Height/2)
	on.X, on.Y = d.wholeDots(middleX-on.Width/2), d.wholeDots(middleY-on.Height/2)
	return on
}

// wholeDots moves a place on the page to the nearest printer dot.
func (d Document) wholeDots(mm float64) float64 {
	dot := symbol.Dot(d.DPI)
	return math.Round(mm/dot) * dot
}

func (s *sheet) rectangle(r layouts.Rect) {
	s.append(r.X*pointsPerMillimetre, ' ')
	s.append(s.height-(r.Y+r.Height)*pointsPerMillimetre, ' ')
	s.append(r.Width*pointsPerMillimetre, ' ')
	s.append(r.Height*pointsPerMillimetre, ' ')
	s.buffer = append(s.buffer, "re "...)
}
