package layouts

// Filling is the order in which slips take their places: first those that are
// free on a sheet that was used in part, then those of whole sheets.
type Filling struct {
	Stock Stock
	// Free are the places that are free on the first sheet, counted from 1 and
	// rising; empty means a whole sheet.
	Free []int
}

// first is how many slips the first sheet takes.
func (f Filling) first() int {
	if len(f.Free) == 0 {
		return f.Stock.Count()
	}
	return len(f.Free)
}

// Place returns the sheet of slip n and its place there, all counted from 0.
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

// Sheets is the number of sheets that n slips take, a sheet that was used in
// part included.
func (f Filling) Sheets(n int) int {
	if n == 0 {
		return 0
	}
	sheet, _ := f.Place(n - 1)
	return sheet + 1
}

// Left returns the places that stay free on the last sheet behind n slips,
// counted from 1; none when the sheet is full. Without any slip it is Free.
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
