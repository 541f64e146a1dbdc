package symbol

import "rsc.io/qr/coding"

// fewLines is the side of version 11, which covers every text of a slip: a line
// fits into one word, and no room for lines has to be allocated.
const fewLines = 61

// qrPlan is what all symbols of one version and level have in common.
//
// Lines of modules are bits, the first module lowest; a line takes words words.
// There are two copies of them, row by row and column by column, since the
// rules for masks look along both.
type qrPlan struct {
	side  int // modules
	words int // in a line
	// places says where each bit of the codewords stands. The codewords are
	// in order, block for block, first the data of all blocks and then
	// their checks; interleaving them is left to the places.
	places []place
	// rows and columns have, for each mask, all that is not text: the
	// function patterns, the format for level and mask, and the mask.
	rows, columns [8][]uint64
}

// place is a module by column and row.
type place struct{ x, y uint8 }

// newPlan makes the plan of a version from 1 to 40.
func newPlan(version coding.Version, level coding.Level) *qrPlan {
	side := 17 + 4*int(version)
	p := &qrPlan{side: side, words: (side + 63) / 64}
	for mask := range p.rows {
		drawn, err := coding.NewPlan(version, level, coding.Mask(mask))
		if err != nil {
			panic(err) // no such version, level or mask
		}
		p.places = make([]place, 8*(drawn.DataBytes+drawn.CheckBytes))
		p.rows[mask] = make([]uint64, side*p.words)
		p.columns[mask] = make([]uint64, side*p.words)
		for y, row := range drawn.Pixel {
			for x, pixel := range row {
				at := place{uint8(x), uint8(y)}
				if role := pixel.Role(); role == coding.Data || role == coding.Check {
					p.places[pixel.Offset()] = at
				}
				if pixel&coding.Black != 0 {
					p.set(p.rows[mask], p.columns[mask], at, 1)
				}
			}
		}
	}
	return p
}

// set makes the module at a place dark if bit is 1.
func (p *qrPlan) set(rows, columns []uint64, at place, bit uint64) {
	rows[int(at.y)*p.words+int(at.x>>6)] |= bit << (at.x & 63)
	columns[int(at.x)*p.words+int(at.y>>6)] |= bit << (at.y & 63)
}

// modules draws codewords under the mask that suits them best.
func (p *qrPlan) modules(codewords []byte) Modules {
	var few [4][fewLines]uint64
	rows, columns, maskedRows, maskedColumns := few[0][:], few[1][:], few[2][:], few[3][:]
	if lines := p.side * p.words; lines > fewLines {
		many := make([]uint64, 4*lines)
		rows, columns, maskedRows, maskedColumns = many[:lines], many[lines:2*lines], many[2*lines:3*lines], many[3*lines:]
	} else {
		rows, columns, maskedRows, maskedColumns = rows[:lines], columns[:lines], maskedRows[:lines], maskedColumns[:lines]
	}
	for i, codeword := range codewords {
		for bit, at := range p.places[8*i : 8*i+8] {
			p.set(rows, columns, at, uint64(codeword>>(7-bit)&1))
		}
	}
	mask := p.bestMask(rows, columns, maskedRows, maskedColumns)
	m := Modules{kind: QR, width: p.side, height: p.side, dark: make([]bool, p.side*p.side)}
	for y := range p.side {
		line := m.dark[y*p.side : (y+1)*p.side]
		for i := y * p.words; len(line) > 0; i++ {
			word, part := rows[i]^p.rows[mask][i], line[:min(len(line), 64)]
			for x := range part {
				part[x] = word>>(x&63)&1 != 0
			}
			line = line[len(part):]
		}
	}
	return m
}
