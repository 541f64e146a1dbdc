package restore

import "iter"

// matrixBlock is a Data Matrix of one block: its data and error correction
// codewords, and its regions across and down.
type matrixBlock struct{ rows, columns, data, checks, across, down int }

// matrixBlocks are the sizes of Data Matrix ECC 200 with one block (ISO/IEC
// 16022, table 7; memory, and held against gozxing by TestMatrixRestored).
func matrixBlocks() []matrixBlock {
	return []matrixBlock{
		{10, 10, 3, 5, 1, 1}, {12, 12, 5, 7, 1, 1}, {14, 14, 8, 10, 1, 1}, {16, 16, 12, 12, 1, 1}, {18, 18, 18, 14, 1, 1},
		{20, 20, 22, 18, 1, 1}, {22, 22, 30, 20, 1, 1}, {24, 24, 36, 24, 1, 1}, {26, 26, 44, 28, 1, 1},
		{32, 32, 62, 36, 2, 2}, {36, 36, 86, 42, 2, 2}, {40, 40, 114, 48, 2, 2}, {44, 44, 144, 56, 2, 2}, {48, 48, 174, 68, 2, 2},
		{8, 18, 5, 7, 1, 1}, {8, 32, 10, 11, 2, 1}, {12, 26, 16, 14, 1, 1}, {12, 36, 22, 18, 2, 1}, {16, 36, 32, 24, 2, 1}, {16, 48, 49, 28, 2, 1},
	}
}

// Matrix restores the modules of a Data Matrix of one block, row by row, and
// yields each whole symbol that they may have been, the likeliest first. Other
// sizes yield nothing.
func Matrix(columns, rows int, modules []Module) iter.Seq[[]bool] {
	return func(yield func([]bool) bool) {
		for _, size := range matrixBlocks() {
			if size.columns != columns || size.rows != rows || len(modules) != columns*rows {
				continue
			}
			places := size.places()
			codewords, sure := make([]byte, len(places)), make([]float64, len(places))
			for i, bits := range places {
				for _, place := range bits {
					codewords[i] <<= 1
					if modules[place].Dark {
						codewords[i] |= 1
					}
				}
				sure[i] = leastSure(modules, bits[:])
			}
			code := blockCode{newField(matrixPolynomial), size.checks, 1}
			code.block(codewords, sure, func(restored []byte) bool { return yield(size.draw(places, restored)) })
		}
	}
}

// draw draws a symbol: borders, broken lines and codewords.
func (m matrixBlock) draw(places [][8]int, codewords []byte) []bool {
	dark := make([]bool, m.columns*m.rows)
	wide, high := m.columns/m.across, m.rows/m.down // of a region with its borders
	for y := range m.rows {
		for x := range m.columns {
			dark[y*m.columns+x] = x%wide == 0 || y%high == high-1 || y%high == 0 && x%2 == 0 || x%wide == wide-1 && y%2 == 1
		}
	}
	// Where the sweep leaves the lower right corner free, two of its modules
	// are dark.
	if grid := m.grid(); grid.free(codewordBits(codewords)) {
		dark[m.at(grid.rows-1, grid.columns-1)], dark[m.at(grid.rows-2, grid.columns-2)] = true, true
		dark[m.at(grid.rows-1, grid.columns-2)], dark[m.at(grid.rows-2, grid.columns-1)] = false, false
	}
	for i, bits := range places {
		for bit, place := range bits {
			dark[place] = codewords[i]>>(7-bit)&1 == 1
		}
	}
	return dark
}

func codewordBits(codewords []byte) int { return 8 * len(codewords) }

// at is the module of the symbol at a row and column of its regions together.
func (m matrixBlock) at(row, column int) int {
	wide, high := m.columns/m.across-2, m.rows/m.down-2
	x := column/wide*(wide+2) + column%wide + 1
	y := row/high*(high+2) + row%high + 1
	return y*m.columns + x
}

// places are the modules of each codeword, the highest bit first.
func (m matrixBlock) places() [][8]int {
	grid := m.grid()
	var places [][8]int
	for _, codeword := range grid.sweep() {
		var bits [8]int
		for bit, cell := range codeword {
			bits[bit] = m.at(cell[0], cell[1])
		}
		places = append(places, bits)
	}
	return places
}

func (m matrixBlock) grid() *matrixGrid {
	rows, columns := m.rows-2*m.down, m.columns-2*m.across
	return &matrixGrid{rows: rows, columns: columns, taken: make([]bool, rows*columns)}
}
