package pdf

import (
	"math"

	"graftslip/labels"
	"graftslip/layouts"
)

// symbol draws all dark modules as one path of whole printer dots, so that no
// viewer shows seams between them.
func (s *sheet) symbol(sym labels.Symbol, place layouts.Placed) {
	on := layouts.Placed{Rect: place.Area(sym.Place), Turn: place.Turn.Add(sym.Turn)}
	if sym.Turned {
		on.Turn = on.Turn.Add(layouts.Clockwise)
	}
	// The middle of the symbol is brought to its corrected place. Its modules
	// keep their size: they are dots of the printer, whatever those measure.
	middleX, middleY := s.Correction.Point(on.X+on.Width/2, on.Y+on.Height/2)
	on.X, on.Y = s.wholeDots(middleX-on.Width/2), s.wholeDots(middleY-on.Height/2)
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

// wholeDots moves a place on the page to the nearest printer dot.
func (s *sheet) wholeDots(mm float64) float64 { return math.Round(mm/s.dot) * s.dot }

func (s *sheet) rectangle(r layouts.Rect) {
	s.append(r.X*pointsPerMillimetre, ' ')
	s.append(s.height-(r.Y+r.Height)*pointsPerMillimetre, ' ')
	s.append(r.Width*pointsPerMillimetre, ' ')
	s.append(r.Height*pointsPerMillimetre, ' ')
	s.buffer = append(s.buffer, "re "...)
}
