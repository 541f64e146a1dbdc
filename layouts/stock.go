package layouts

import "cmp"

const (
	// Edge is the least distance between print and a cut edge, in mm.
	Edge = 1.5

	// Unprintable is how far from the paper's edge an office printer may leave
	// a sheet blank, in mm. Common practice, no source: makers give 4-6 mm, so
	// the larger one is assumed.
	Unprintable = 6.0
)

// Medium is how label stock comes to the printer.
type Medium uint8

const (
	Sheet Medium = iota + 1 // self-adhesive or cut sheets of labels
	Roll                    // one label behind the other, printed to the edge
	Card                    // stiff cards, one or several to a sheet
)

func (m Medium) String() string {
	return [...]string{"", "sheet", "roll", "card"}[m]
}

// Stock is label stock: paper and the grid of labels on it, in millimetres.
type Stock struct {
	Name           string
	Medium         Medium
	Paper          Size
	Columns, Rows  int
	Label          Size
	PitchX, PitchY float64 // from one label's left (upper) edge to the next one's
	Left, Top      float64 // from the paper's edge to the first label

	full string // what Lookup finds it by, if the name alone is not enough
}

// FullName is what Lookup finds the same stock by: its name, with the measures
// where the name is the user's own.
func (s Stock) FullName() string { return cmp.Or(s.full, s.Name) }

// Count is the number of labels on a sheet.
func (s Stock) Count() int { return s.Columns * s.Rows }

// Turn is how a label's print is turned on the paper. A strip that leaves the
// printer lengthwise is printed sideways.
func (s Stock) Turn() Turn {
	if s.Medium == Roll && s.Label.Height > s.Label.Width {
		return Clockwise
	}
	return Upright
}

// Face is the size of a label as its reader sees it.
func (s Stock) Face() Size { return s.Position(0).Inner() }

// Position is where label i of a sheet lies, counted from 0 at the upper left,
// along the rows. Labels beyond the sheet start again at the first place.
func (s Stock) Position(i int) Placed {
	i %= s.Count()
	return Placed{Rect{
		X: s.Left + float64(i%s.Columns)*s.PitchX, Y: s.Top + float64(i/s.Columns)*s.PitchY,
		Width: s.Label.Width, Height: s.Label.Height,
	}, s.Turn()}
}

// Sheets is the number of sheets that hold n labels.
func (s Stock) Sheets(n int) int { return (n + s.Count() - 1) / s.Count() }

// Safe is the part of a label's face that may carry print: away from the cut
// edges by Edge, and where a printer cannot reach the edge of the paper, away
// from that. It is the same for every label of the sheet.
func (s Stock) Safe() Rect {
	across, down := s.insets()
	if s.Turn().Sideways() {
		across, down = down, across
	}
	return s.Face().Rect().Inset(across, down, across, down)
}

func (s Stock) insets() (across, down float64) {
	if s.Medium == Roll {
		return Edge, Edge
	}
	last := s.Position(s.Count() - 1)
	right, bottom := s.Paper.Width-last.X-last.Width, s.Paper.Height-last.Y-last.Height
	return max(Edge, Unprintable-min(s.Left, right)), max(Edge, Unprintable-min(s.Top, bottom))
}

// EdgesInReach reports whether an ordinary printer reaches every part of a
// label that lies Edge or more inside it.
func (s Stock) EdgesInReach() bool {
	across, down := s.insets()
	return across <= Edge && down <= Edge
}

// Filling is the order in which designs take their places: first those that are
// free on a sheet that was used in part, then those of whole sheets.
type Filling struct {
	Stock Stock
	// Free are the places that are free on the first sheet, counted from 1 and
	// rising; empty means a whole sheet.
	Free []int
}

// first is how many designs the first sheet takes.
func (f Filling) first() int {
	if len(f.Free) == 0 {
		return f.Stock.Count()
	}
	return len(f.Free)
}

// Place returns the sheet of design n and its place there, all counted from 0.
func (f Filling) Place(n int) (sheet, place int) {
	if n < len(f.Free) {
		return 0, f.Free[n] - 1
	}
	n -= f.first()
	if n < 0 {
		return 0, n + f.Stock.Count()
	}
	return 1 + n/f.Stock.Count(), n % f.Stock.Count()
}

// Sheets is the number of sheets that n designs take, a sheet that was used in
// part included.
func (f Filling) Sheets(n int) int {
	if n == 0 {
		return 0
	}
	sheet, _ := f.Place(n - 1)
	return sheet + 1
}

// Left returns the places that stay free on the last sheet behind n designs,
// counted from 1; none when the sheet is full. Without any design it is Free.
func (f Filling) Left(n int) []int {
	if n < len(f.Free) || n == 0 {
		return f.Free[n:]
	}
	_, last := f.Place(n - 1)
	if n == len(f.Free) {
		return nil // what is behind the last free place was used before
	}
	var left []int
	for place := last + 2; place <= f.Stock.Count(); place++ {
		left = append(left, place)
	}
	return left
}
