// Package qrchart knows where everything stands in a QR symbol: function patterns,
// codewords and masks of each version, and how many of the codewords are for
// error correction. It is written apart from the encoder of the symbols, so that
// what reads by it is a check of that.
package qrchart

// Chart is where everything stands in the symbols of one version. Modules
// are counted row by row.
type Chart struct {
	Codewords int
	Modules   []TextModule // in the order of the bits
	Fixed     []FixedModule
}

// TextModule is a module of a codeword, or one left over. Bit i of masks says
// whether mask i inverts it.
type TextModule struct {
	At    uint16
	Masks uint8
}

// FixedModule is a module that is the same in all symbols of a version.
type FixedModule struct {
	At   uint16
	Dark bool
}

// New makes the chart of a version (ISO/IEC 18004, 6.3 and 7.7; memory).
func New(version int) *Chart {
	side := 17 + 4*version
	c := new(Chart)
	taken := make([]bool, side*side) // by anything but text
	fix := func(x, y int, dark bool) {
		if x < 0 || y < 0 || x >= side || y >= side || taken[y*side+x] {
			return
		}
		taken[y*side+x] = true
		c.Fixed = append(c.Fixed, FixedModule{uint16(y*side + x), dark})
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
	centres := Alignment(version)
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
		word := WithRemainder(version, 12, VersionDivisor)
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
	c.Codewords = len(c.Modules) / 8
	return c
}

// sweep goes up and down through pairs of columns from the right, past the
// column of the timing pattern, and takes each module that is free.
func (c *Chart) sweep(side int, taken []bool) {
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
					c.Modules = append(c.Modules, TextModule{uint16(y*side + x), masksAt(y, x)})
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
	FormatDivisor  = 0b10100110111
	FormatMask     = 0b101010000010010
	VersionDivisor = 0b1111100100101
)

// WithRemainder returns value with so many bits behind it that make it divide
// by a polynomial of that degree.
func WithRemainder(value, degree, divisor int) int {
	rest := value
	for range degree {
		rest <<= 1
		if rest>>degree&1 == 1 {
			rest ^= divisor
		}
	}
	return value<<degree | rest&(1<<degree-1)
}
