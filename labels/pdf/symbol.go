package pdf

import (
	"math"
	"strconv"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// symbol draws all dark modules as one path of whole printer dots, so that no
// viewer shows seams between them. The path counts in modules, which takes a
// third of the room that lengths take.
func (s *sheet) symbol(sym labels.Symbol, place layouts.Placed) {
	s.buffer = append(s.buffer[:0], "q "...)
	s.modulesAt(sym, place)
	width, height := sym.Modules.Width(), sym.Modules.Height()
	const side = 7 // of a finder pattern
	finder := func(x, y int) bool { return false }
	if sym.Kind() == symbol.QR {
		finder = func(x, y int) bool { return x < side && (y < side || y >= height-side) || x >= width-side && y < side }
		for _, corner := range [3][2]int{{0, 0}, {width - side, 0}, {0, height - side}} {
			for ring := range 3 { // dark, light, dark
				s.rectangle(corner[0]+ring, corner[1]+ring, side-2*ring, side-2*ring)
			}
		}
	}
	for y := range height {
		for x := 0; x < width; x++ {
			from := x
			for x < width && sym.Dark(x, y) && !finder(x, y) {
				x++
			}
			if x > from {
				s.rectangle(from, y, x-from, 1)
			}
		}
	}
	s.pdf.RawWriteStr(string(append(s.buffer, "f* Q"...)))
}

// modulesAt makes the symbol's upper left module, without the quiet zone, the
// origin of what is drawn, and a module its unit: across, and down, where that
// of a Code 128 is the length of its bars.
func (s *sheet) modulesAt(sym labels.Symbol, place layouts.Placed) {
	on := s.symbolPlace(sym, place)
	quietX, quietY := sym.Quiet()
	tall := sym.Module
	if sym.Modules.Height() == 1 {
		tall = sym.Bar
	}
	at := func(across, down float64) (x, y float64) {
		x, y = on.Point((float64(quietX)+across)*sym.Module, float64(quietY)*sym.Module+down*tall)
		return x * pointsPerMillimetre, s.height - y*pointsPerMillimetre
	}
	x, y := at(0, 0)
	acrossX, acrossY := at(1, 0)
	downX, downY := at(0, 1)
	const unit = 8 // decimals of what the numbers of modules are multiplied with
	s.append(acrossX-x, unit, ' ')
	s.append(acrossY-y, unit, ' ')
	s.append(downX-x, unit, ' ')
	s.append(downY-y, unit, ' ')
	s.append(x, 4, ' ')
	s.append(y, 4, ' ')
	s.buffer = append(s.buffer, "cm "...)
}

// rectangle adds one to the path, in modules.
func (s *sheet) rectangle(x, y, width, height int) {
	for _, n := range [4]int{x, y, width, height} {
		s.buffer = append(strconv.AppendInt(s.buffer, int64(n), 10), ' ')
	}
	s.buffer = append(s.buffer, "re "...)
}

// symbolPlace is where a symbol is printed, quiet zone included, and how its
// modules are turned there. Its middle is brought to its corrected place. Its
// modules keep their size: they are dots of the printer, whatever those measure.
func (d Document) symbolPlace(sym labels.Symbol, place layouts.Placed) layouts.Placed {
	on := layouts.Placed{Rect: place.Area(sym.Place), Turn: place.Turn.Add(sym.Turn)}
	if sym.Turned {
		on.Turn = on.Turn.Add(layouts.Clockwise)
	}
	middleX, middleY := on.X+on.Width/2, on.Y+on.Height/2
	correctedX, correctedY := d.Correction.Point(middleX, middleY)
	on.X, on.Y = d.wholeDots(on.X+(correctedX-middleX)), d.wholeDots(on.Y+(correctedY-middleY))
	return on
}

// wholeDots moves a place on the page to the nearest printer dot.
func (d Document) wholeDots(mm float64) float64 {
	dot := symbol.Dot(d.DPI)
	return math.Round(mm/dot) * dot
}
