// Package qrchart knows where everything stands in a QR symbol: function patterns,
// codewords and masks of each version. It shares nothing with the encoder of the
// symbols, so that what reads by it is a check of that; its tables are those of
// the library that decodes.
package qrchart

import "github.com/makiuchi-d/gozxing/qrcode/decoder"

// Chart is where everything stands in the symbols of one version. Modules
// are counted row by row.
type Chart struct {
	Codewords int
	Modules   []TextModule // in the order of the bits
	Fixed     []FixedModule
	Format    [2][15]uint16 // the two copies of the format information, the highest bit first
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

// New makes the chart of a version from 1 to 40 (ISO/IEC 18004, 6.3 and 7.7;
// memory).
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
	centres := tableOf(version).GetAlignmentPatternCenters()
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
	c.Format = formatPlaces(side)
	for _, places := range c.Format {
		for _, place := range places {
			taken[place] = true
		}
	}
	c.sweep(side, taken)
	c.Codewords = len(c.Modules) / 8
	return c
}

// formatPlaces are the modules of the two copies of the format information, the
// highest bit first (ISO/IEC 18004, 7.9.1; memory).
func formatPlaces(side int) [2][15]uint16 {
	at := func(x, y int) uint16 { return uint16(y*side + x) }
	var one, other []uint16
	for x := range 6 {
		one = append(one, at(x, 8))
	}
	one = append(one, at(7, 8), at(8, 8), at(8, 7))
	for y := 5; y >= 0; y-- {
		one = append(one, at(8, y))
	}
	for y := side - 1; y >= side-7; y-- {
		other = append(other, at(8, y))
	}
	for x := side - 8; x < side; x++ {
		other = append(other, at(x, 8))
	}
	return [2][15]uint16{[15]uint16(one), [15]uint16(other)}
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

// FormatWord returns the format information for a level and mask: two bits and
// three.
func FormatWord(format int) int {
	return withRemainder(format, 10, formatDivisor) ^ formatMask
}

// FormatOf returns the level and mask of a format information; false if no
// symbol has it.
func FormatOf(word int) (format int, ok bool) {
	format = (word ^ formatMask) >> 10
	return format, FormatWord(format) == word
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

// Blocks returns how many blocks the codewords of a version and level are
// divided into, and how many codewords of each are for error correction.
func Blocks(version int, level decoder.ErrorCorrectionLevel) (count, checks int) {
	blocks := tableOf(version).GetECBlocksForLevel(level)
	return blocks.GetNumBlocks(), blocks.GetECCodewordsPerBlock()
}

func tableOf(version int) *decoder.Version {
	table, err := decoder.Version_GetVersionForNumber(version)
	if err != nil {
		panic(err) // no such version
	}
	return table
}
