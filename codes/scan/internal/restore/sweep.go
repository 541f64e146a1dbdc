package restore

// matrixGrid is the data of a Data Matrix, its regions put together.
type matrixGrid struct {
	rows, columns int
	taken         []bool
}

// cells are the row and column of each bit of a codeword.
type cells [8][2]int

// free reports whether the sweep leaves four modules in the lower right corner.
func (g *matrixGrid) free(bits int) bool { return bits < g.rows*g.columns }

// sweep goes up and down along diagonals and lays out codewords (ISO/IEC 16022,
// annex F; memory).
func (g *matrixGrid) sweep() []cells {
	var all []cells
	row, column := 4, 0
	for row < g.rows || column < g.columns {
		if corner, ok := g.corner(row, column); ok {
			all = append(all, g.take(corner))
		}
		for ; row >= 0 && column < g.columns; row, column = row-2, column+2 {
			if row < g.rows && column >= 0 && !g.taken[row*g.columns+column] {
				all = append(all, g.usual(row, column))
			}
		}
		row, column = row+1, column+3
		for ; row < g.rows && column >= 0; row, column = row+2, column-2 {
			if row >= 0 && column < g.columns && !g.taken[row*g.columns+column] {
				all = append(all, g.usual(row, column))
			}
		}
		row, column = row+3, column+1
	}
	return all
}

// usual is the codeword whose last bit stands at a row and column. What leaves
// the grid comes in again at the other side.
func (g *matrixGrid) usual(row, column int) cells {
	var c cells
	for bit, step := range [8][2]int{{-2, -2}, {-2, -1}, {-1, -2}, {-1, -1}, {-1, 0}, {0, -2}, {0, -1}, {0, 0}} {
		r, k := row+step[0], column+step[1]
		if r < 0 {
			r, k = r+g.rows, k+4-(g.rows+4)%8
		}
		if k < 0 {
			r, k = r+4-(g.columns+4)%8, k+g.columns
		}
		c[bit] = [2]int{r, k}
	}
	return g.take(c)
}

// corner is the codeword that is split between corners, if one begins here.
func (g *matrixGrid) corner(row, column int) (cells, bool) {
	rows, columns := g.rows, g.columns
	switch {
	case row == rows && column == 0:
		return cells{{rows - 1, 0}, {rows - 1, 1}, {rows - 1, 2}, {0, columns - 2}, {0, columns - 1}, {1, columns - 1}, {2, columns - 1}, {3, columns - 1}}, true
	case row == rows-2 && column == 0 && columns%4 != 0:
		return cells{{rows - 3, 0}, {rows - 2, 0}, {rows - 1, 0}, {0, columns - 4}, {0, columns - 3}, {0, columns - 2}, {0, columns - 1}, {1, columns - 1}}, true
	case row == rows-2 && column == 0 && columns%8 == 4:
		return cells{{rows - 3, 0}, {rows - 2, 0}, {rows - 1, 0}, {0, columns - 2}, {0, columns - 1}, {1, columns - 1}, {2, columns - 1}, {3, columns - 1}}, true
	case row == rows+4 && column == 2 && columns%8 == 0:
		return cells{{rows - 1, 0}, {rows - 1, columns - 1}, {0, columns - 3}, {0, columns - 2}, {0, columns - 1}, {1, columns - 3}, {1, columns - 2}, {1, columns - 1}}, true
	}
	return cells{}, false
}

func (g *matrixGrid) take(c cells) cells {
	for _, cell := range c {
		g.taken[cell[0]*g.columns+cell[1]] = true
	}
	return c
}
