package scan

// matrixGrid is that of the Data Matrix codes of one size, of one region.
func matrixGrid(columns, rows int) *grid {
	p := &grid{format: matrixFormat(), columns: columns, rows: rows}
	see := func(x, y int, light bool, weight float64) {
		p.known = append(p.known, known{float64(x) + 0.5, float64(y) + 0.5, light, weight})
	}
	for x := range columns {
		see(x, 0, x%2 == 1, 1)
		see(x, rows-1, false, 1)
		see(x, rows, true, quietWeight)
		see(x, -1, true, quietWeight)
	}
	for y := 1; y < rows-1; y++ {
		see(columns-1, y, (rows-1-y)%2 == 1, 1)
		see(0, y, false, 1)
		see(-1, y, true, quietWeight)
		see(columns, y, true, quietWeight)
	}
	for y := 1; y < rows-1; y++ {
		for x := 1; x < columns-1; x++ {
			p.data = append(p.data, point{float64(x) + 0.5, float64(y) + 0.5})
		}
	}
	return p
}
