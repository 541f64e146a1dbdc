package symbol

import (
	"math"
	"math/bits"
)

// bestMask returns the mask under which the symbol has the fewest points by the
// rules of ISO/IEC 18004, 7.8.3.1, and the lowest number among equals. rows and
// columns are the bits of the codewords alone; the other two are room to work in.
func (p *qrPlan) bestMask(rows, columns, maskedRows, maskedColumns []uint64) int {
	best, fewest := 0, math.MaxInt
	for mask := range p.rows {
		laid(maskedRows, rows, p.rows[mask])
		laid(maskedColumns, columns, p.columns[mask])
		if points := p.penalty(maskedRows, maskedColumns, fewest); points < fewest {
			best, fewest = mask, points
		}
	}
	return best
}

// laid sets masked to lines with the modules of a mask laid over them.
func laid(masked, lines, mask []uint64) {
	lines, mask = lines[:len(masked)], mask[:len(masked)]
	for i := range masked {
		masked[i] = lines[i] ^ mask[i]
	}
}

// What a symbol is charged for (ISO/IEC 18004, table 11; memory).
const (
	runPoints     = 3  // five modules of a colour in a line, and one more for each further
	blockPoints   = 3  // four modules of a colour in a square
	finderPoints  = 40 // what looks like a finder pattern
	balancePoints = 10 // each whole 5 % of dark modules more or less than half
)

// penalty returns the points of a symbol, or any number not below enough if it
// has at least so many.
//
// The whole symbol is charged, format information included. A finder pattern is
// 1:1:3:1:1 with four light modules before or after it, counted once if it has
// both; beyond the edge everything is light, as the quiet zone is. Deviations
// from half dark are rounded down: 52 % costs nothing.
//
// The standard leaves some of this open, and encoders differ. Among 10,000
// symbols of versions 1 to 4, segno (Python, 1.4.1) takes another mask for 218,
// all because it does not count a finder pattern that begins within one it has
// counted; this with the format information in place, before which it chooses:
// left as it is, 4414. The package qrcode of npm (1.5.4) takes another mask for
// 5918, all because it counts no quiet zone, counts a pattern twice that is
// light on both sides, and rounds the share of dark modules up, so that 52 %
// costs as much as 55 %.
func (p *qrPlan) penalty(rows, columns []uint64, enough int) int {
	points, dark := 0, 0
	var room [maxSide]uint64
	for stretch := range p.stretches() {
		lines := p.stretch(room[:p.side], rows, stretch)
		at := p.within(stretch)
		blocks, more := at.blocks(lines)
		points += at.runs(lines) + blocks
		dark += more
	}
	points += balance(dark, p.side*p.side)
	if points >= enough {
		return points
	}
	for stretch := range p.stretches() {
		points += p.within(stretch).runs(p.stretch(room[:p.side], columns, stretch))
	}
	return points
}

// balance returns the points for so many dark modules among all.
func balance(dark, all int) int {
	deviation := 2*dark - all // from half, in half modules
	return balancePoints * (max(deviation, -deviation) * 10 / all)
}

// Lines of more than 64 modules are looked at in stretches of 64 that overlap:
// a feature belongs to the stretch in which it begins with all that it depends
// on in sight, 4 modules before it and 10 behind.
const (
	maxSide       = 177 // of version 40
	stretchLength = 64
	before        = 4
	behind        = 10
	stretchStep   = stretchLength - before - behind
)

// stretches returns in how many stretches the lines are looked at.
func (p *qrPlan) stretches() int {
	return 1 + max(0, p.side-stretchLength+stretchStep-1)/stretchStep
}

// stretch returns a stretch of each line, in room unless a line is a word.
func (p *qrPlan) stretch(room, lines []uint64, stretch int) []uint64 {
	if p.words == 1 {
		return lines
	}
	word, shift := stretchStep*stretch/64, stretchStep*stretch%64
	for i := range room {
		line := lines[i*p.words : (i+1)*p.words]
		room[i] = line[word] >> shift
		if word+1 < len(line) {
			room[i] |= line[word+1] << (64 - shift)
		}
	}
	return room
}

// window says where in a stretch features begin, one bit a module.
type window struct {
	counted uint64 // that belong to this stretch
	five    uint64 // with at least four modules behind it in the symbol
	pair    uint64 // with at least one module behind it in the symbol
}

// within returns the window of a stretch.
func (p *qrPlan) within(stretch int) window {
	length := p.side - stretchStep*stretch
	counted := lowest(length)
	if stretch > 0 {
		counted &^= lowest(before)
	}
	if length > stretchLength {
		counted &= lowest(stretchLength - behind)
	}
	return window{counted: counted, five: lowest(length - 4), pair: lowest(length - 1)}
}

// lowest returns a word with the lowest n bits set, all of them if n is more
// than 64.
func lowest(n int) uint64 { return 1<<min(n, 64) - 1 }

// runs returns the points of lines for runs of one colour and for finder
// patterns.
func (w window) runs(lines []uint64) int {
	fives, runs, finders := 0, 0, 0
	for _, line := range lines {
		same := ^(line ^ line>>1) // as the next module
		five := same & (same >> 1)
		five &= five >> 2
		five &= w.five
		// A run of five begins as many fives as it is longer than four.
		fives += bits.OnesCount64(five & w.counted)
		runs += bits.OnesCount64(five &^ (five << 1) & w.counted)

		finder := line &^ (line >> 1) & (line >> 2) & (line >> 3) & (line >> 4) &^ (line >> 5) & (line >> 6) & w.counted
		if finder != 0 {
			left := line<<1 | line<<2
			left |= left << 2
			right := line>>7 | line>>8
			right |= right >> 2
			finders += bits.OnesCount64(finder &^ (left & right))
		}
	}
	return fives + (runPoints-1)*runs + finderPoints*finders
}

// blocks returns the points of lines for squares of one colour, and the number
// of dark modules.
func (w window) blocks(lines []uint64) (points, dark int) {
	squares := 0
	above := lines[0]
	pair := w.counted & w.pair
	dark = bits.OnesCount64(above & w.counted)
	for _, line := range lines[1:] {
		same := ^(line ^ above) // as the module above
		squares += bits.OnesCount64(same & (same >> 1) &^ (line ^ line>>1) & pair)
		dark += bits.OnesCount64(line & w.counted)
		above = line
	}
	return blockPoints * squares, dark
}
