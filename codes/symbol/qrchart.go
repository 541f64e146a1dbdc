package symbol

// qrChart is where everything stands in the symbols of one version. Modules
// are counted row by row.
type qrChart struct {
	codewords int
	modules   []textModule // in the order of the bits
	fixed     []fixedModule
}

// textModule is a module of a codeword, or one left over. Bit i of masks says
// whether mask i inverts it.
type textModule struct {
	at    uint16
	masks uint8
}

// fixedModule is a module that is the same in all symbols of a version.
type fixedModule struct {
	at   uint16
	dark bool
}

// newChart makes the chart of a version (ISO/IEC 18004, 6.3 and 7.7; memory).
func newChart(version int) *qrChart {
	side := 17 + 4*version
	c := new(qrChart)
	taken := make([]bool, side*side) // by anything but text
	fix := func(x, y int, dark bool) {
		if x < 0 || y < 0 || x >= side || y >= side || taken[y*side+x] {
			return
		}
		taken[y*side+x] = true
		c.fixed = append(c.fixed, fixedModule{uint16(y*side + x), dark})
	}
	// square draws rings of modules round a centre, the innermost first.
	square := func(x, y int, rings ...bool) {
		for radius, dark := range rings {
			for d := -radius; d <= radius; d++ {
				fix(x+d, y-radius, dark)
				fix(x+d, y+radius, dark)
				fix(x-radius, y+d, dark)
				fix(x+radius, y+d, dark)
			}
		}
	}
	for _, centre := range [][2]int{{3, 3}, {side - 4, 3}, {3, side - 4}} {
		square(centre[0], centre[1], true, true, false, true, false) // the last ring is the separator
	}
	centres := alignment(version)
	for i, x := range centres {
		for j, y := range centres {
			last := len(centres) - 1
			if i == 0 && (j == 0 || j == last) || i == last && j == 0 {
				continue // a finder pattern is there
			}
			square(x, y, true, false, true)
		}
	}
	for i := 8; i < side-8; i++ {
		fix(i, 6, i%2 == 0)
		fix(6, i, i%2 == 0)
	}
	fix(8, side-8, true)
	if version >= 7 {
		word := withRemainder(version, 12, versionDivisor)
		for i := range 18 {
			dark := word>>i&1 == 1
			fix(side-11+i%3, i/3, dark)
			fix(i/3, side-11+i%3, dark)
		}
	}
	for i := range 9 { // the format information
		taken[8*side+i], taken[i*side+8] = true, true
		if i < 8 {
			taken[8*side+side-1-i], taken[(side-1-i)*side+8] = true, true
		}
	}
	c.sweep(side, taken)
	c.codewords = len(c.modules) / 8
	return c
}

// sweep goes up and down through pairs of columns from the right, past the
// column of the timing pattern, and takes each module that is free.
func (c *qrChart) sweep(side int, taken []bool) {
	up := true
	for right := side - 1; right > 0; right -= 2 {
		if right == 6 {
			right = 5
		}
		for step := range side {
			y := step
			if up {
				y = side - 1 - step
			}
			for _, x := range [2]int{right, right - 1} {
				if !taken[y*side+x] {
					c.modules = append(c.modules, textModule{uint16(y*side + x), masksAt(y, x)})
				}
			}
		}
		up = !up
	}
}

// masksAt returns which masks invert the module in a row and column (ISO/IEC
// 18004, table 10; memory).
func masksAt(row, column int) uint8 {
	product := row * column
	var masks uint8
	for i, inverts := range [8]bool{
		(row^column)&1 == 0,
		row&1 == 0,
		column%3 == 0,
		(row+column)%3 == 0,
		(row>>1^column/3)&1 == 0,
		product%6 == 0,
		product%6 < 3,
		(row+column+product%3)&1 == 0,
	} {
		if inverts {
			masks |= 1 << i
		}
	}
	return masks
}

// What the format and version information is divided by, and what is laid over
// the former (ISO/IEC 18004, annexes C and D; memory).
const (
	formatDivisor  = 0b10100110111
	formatMask     = 0b101010000010010
	versionDivisor = 0b1111100100101
)

// withRemainder returns value with so many bits behind it that make it divide
// by a polynomial of that degree.
func withRemainder(value, degree, divisor int) int {
	rest := value
	for range degree {
		rest <<= 1
		if rest>>degree&1 == 1 {
			rest ^= divisor
		}
	}
	return value<<degree | rest&(1<<degree-1)
}
