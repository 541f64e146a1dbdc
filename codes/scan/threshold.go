package scan

// block is the side, in pixels, of the squares for which thresholds are kept.
// It must hold an edge of a symbol whose modules are 2 to 8 pixels wide, the
// size that each level of a picture is searched for.
const (
	blockPower = 3
	block      = 1 << blockPower
)

// minContrast is the least difference between light and dark, in steps of
// luminance, that counts as print rather than as paper.
const minContrast = 20

// thresholds parts light from dark, block by block: half-way between the
// darkest and lightest pixels around, where there is contrast, else half-way
// between the darkest and lightest of the whole picture.
type thresholds struct {
	columns, rows int
	level         []byte
	span          []byte // from the darkest to the lightest around each block
}

// at is the threshold at a position; outside the picture that of its edge.
func (t *thresholds) at(p point) float64 { return float64(t.level[t.index(p)]) }

// spanAt is the difference between light and dark around a position.
func (t *thresholds) spanAt(p point) float64 { return float64(t.span[t.index(p)]) }

func (t *thresholds) index(p point) int {
	column := min(max(int(p.x)>>blockPower, 0), t.columns-1)
	row := min(max(int(p.y)>>blockPower, 0), t.rows-1)
	return row*t.columns + column
}

func newThresholds(g *grey) *thresholds {
	t := &thresholds{columns: (g.width + block - 1) / block, rows: (g.height + block - 1) / block}
	count := t.columns * t.rows
	low, high := make([]byte, count), make([]byte, count)
	blockRange(g, t.columns, low, high)
	darkest, lightest := byte(255), byte(0)
	for i := range low {
		darkest, lightest = min(darkest, low[i]), max(lightest, high[i])
	}
	whole := middle(darkest, lightest)

	low, high = t.spread(low, minimum), t.spread(high, maximum)
	t.level, t.span = make([]byte, count), make([]byte, count)
	for i := range low {
		t.span[i] = high[i] - low[i]
	}
	for row := range t.rows {
		for column := range t.columns {
			sum, parts := 0, 0
			for y := max(row-1, 0); y <= min(row+1, t.rows-1); y++ {
				for x := max(column-1, 0); x <= min(column+1, t.columns-1); x++ {
					if i := y*t.columns + x; t.span[i] >= minContrast {
						sum += int(low[i]) + int(high[i])
						parts += 2
					}
				}
			}
			i := row*t.columns + column
			if parts == 0 {
				t.level[i] = whole
			} else {
				t.level[i] = byte((sum + parts - 1) / parts)
			}
		}
	}
	return t
}

// middle is half-way between two luminances, rounded up.
func middle(a, b byte) byte { return byte((int(a) + int(b) + 1) / 2) }

// blockRange finds the darkest and the lightest pixel of each block.
func blockRange(g *grey, columns int, low, high []byte) {
	for i := range low {
		low[i], high[i] = 255, 0
	}
	for y := range g.height {
		line := g.pix[y*g.stride:][:g.width]
		lows := low[(y>>blockPower)*columns:][:columns]
		highs := high[(y>>blockPower)*columns:][:columns]
		for column := range columns {
			part := line[column<<blockPower : min((column+1)<<blockPower, g.width)]
			l, h := lows[column], highs[column]
			for _, v := range part {
				l, h = min(l, v), max(h, v)
			}
			lows[column], highs[column] = l, h
		}
	}
}

func minimum(a, b byte) byte { return min(a, b) }
func maximum(a, b byte) byte { return max(a, b) }

// spread gives each block the extreme of itself and its eight neighbours.
func (t *thresholds) spread(in []byte, extreme func(a, b byte) byte) []byte {
	across := make([]byte, len(in))
	for row := range t.rows {
		line, result := in[row*t.columns:][:t.columns], across[row*t.columns:][:t.columns]
		for x := range line {
			result[x] = extreme(line[x], extreme(line[max(x-1, 0)], line[min(x+1, t.columns-1)]))
		}
	}
	out := make([]byte, len(in))
	for row := range t.rows {
		line, result := across[row*t.columns:][:t.columns], out[row*t.columns:][:t.columns]
		above, below := across[max(row-1, 0)*t.columns:], across[min(row+1, t.rows-1)*t.columns:]
		for x := range line {
			result[x] = extreme(line[x], extreme(above[x], below[x]))
		}
	}
	return out
}
