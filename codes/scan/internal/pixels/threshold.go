package pixels

// block is the side, in pixels, of the squares for which thresholds are kept.
// It must hold an edge of a symbol whose modules are 2 to 8 pixels wide, the
// size that each level of a picture is searched for.
const (
	BlockPower = 3
	Block      = 1 << BlockPower
)

// MinContrast is the least difference between light and dark, in steps of
// luminance, that counts as print rather than as paper.
const MinContrast = 20

// Thresholds parts light from dark, block by block: half-way between the
// darkest and lightest pixels around, where there is contrast, else half-way
// between the darkest and lightest of the whole picture.
type Thresholds struct {
	Columns, rows int
	Level         []byte
	Span          []byte // from the darkest to the lightest around each block
}

// At is the threshold at a position; outside the picture that of its edge.
func (t *Thresholds) At(p Point) float64 { return float64(t.Level[t.index(p)]) }

// SpanAt is the difference between light and dark around a position.
func (t *Thresholds) SpanAt(p Point) float64 { return float64(t.Span[t.index(p)]) }

func (t *Thresholds) index(p Point) int {
	column := min(max(int(p.X)>>BlockPower, 0), t.Columns-1)
	row := min(max(int(p.Y)>>BlockPower, 0), t.rows-1)
	return row*t.Columns + column
}

func newThresholds(g *Grey) *Thresholds {
	t := &Thresholds{Columns: (g.Width + Block - 1) / Block, rows: (g.Height + Block - 1) / Block}
	count := t.Columns * t.rows
	low, high := make([]byte, count), make([]byte, count)
	blockRange(g, t.Columns, low, high)
	darkest, lightest := byte(255), byte(0)
	for i := range low {
		darkest, lightest = min(darkest, low[i]), max(lightest, high[i])
	}
	whole := middle(darkest, lightest)

	low, high = t.Spread(low, minimum), t.Spread(high, Maximum)
	t.Level, t.Span = make([]byte, count), make([]byte, count)
	for i := range low {
		t.Span[i] = high[i] - low[i]
	}
	for row := range t.rows {
		for column := range t.Columns {
			sum, parts := 0, 0
			for y := max(row-1, 0); y <= min(row+1, t.rows-1); y++ {
				for x := max(column-1, 0); x <= min(column+1, t.Columns-1); x++ {
					if i := y*t.Columns + x; t.Span[i] >= MinContrast {
						sum += int(low[i]) + int(high[i])
						parts += 2
					}
				}
			}
			i := row*t.Columns + column
			if parts == 0 {
				t.Level[i] = whole
			} else {
				t.Level[i] = byte((sum + parts - 1) / parts)
			}
		}
	}
	return t
}

// middle is half-way between two luminances, rounded up.
func middle(a, b byte) byte { return byte((int(a) + int(b) + 1) / 2) }

// blockRange finds the darkest and the lightest pixel of each block.
func blockRange(g *Grey, columns int, low, high []byte) {
	for i := range low {
		low[i], high[i] = 255, 0
	}
	for y := range g.Height {
		line := g.Pix[y*g.Stride:][:g.Width]
		lows := low[(y>>BlockPower)*columns:][:columns]
		highs := high[(y>>BlockPower)*columns:][:columns]
		for column := range columns {
			part := line[column<<BlockPower : min((column+1)<<BlockPower, g.Width)]
			l, h := lows[column], highs[column]
			for _, v := range part {
				l, h = min(l, v), max(h, v)
			}
			lows[column], highs[column] = l, h
		}
	}
}

func minimum(a, b byte) byte { return min(a, b) }

func Maximum(a, b byte) byte { return max(a, b) }

// Spread gives each block the extreme of itself and its eight neighbours.
func (t *Thresholds) Spread(in []byte, extreme func(a, b byte) byte) []byte {
	across := make([]byte, len(in))
	for row := range t.rows {
		line, result := in[row*t.Columns:][:t.Columns], across[row*t.Columns:][:t.Columns]
		for x := range line {
			result[x] = extreme(line[x], extreme(line[max(x-1, 0)], line[min(x+1, t.Columns-1)]))
		}
	}
	out := make([]byte, len(in))
	for row := range t.rows {
		line, result := across[row*t.Columns:][:t.Columns], out[row*t.Columns:][:t.Columns]
		above, below := across[max(row-1, 0)*t.Columns:], across[min(row+1, t.rows-1)*t.Columns:]
		for x := range line {
			result[x] = extreme(line[x], extreme(above[x], below[x]))
		}
	}
	return out
}

// Contrast is a picture of how light each pixel is against what is around it:
// from 1 for black over 128 to 255 for white.
type Contrast struct{ Grey }

func newContrast(g *Grey, t *Thresholds) *Contrast {
	c := &Contrast{Grey{Pix: make([]byte, g.Width*g.Height), Stride: g.Width, Width: g.Width, Height: g.Height}}
	for y := range g.Height {
		line, out := g.Pix[y*g.Stride:][:g.Width], c.Pix[y*c.Stride:][:c.Width]
		row := (y >> BlockPower) * t.Columns
		for column := range t.Columns {
			level := int(t.Level[row+column])
			scale := 2 * 127 << 8 / max(int(t.Span[row+column]), MinContrast)
			from := column << BlockPower
			for x := from; x < min(from+Block, g.Width); x++ {
				out[x] = byte(128 + min(max((int(line[x])-level)*scale>>8, -127), 127))
			}
		}
	}
	return c
}

// At is the contrast at a position, from -1 to 1.
func (c *Contrast) At(p Point) float64 { return (c.Grey.At(p) - 128) / 127 }
