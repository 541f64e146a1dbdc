package schedule

// crossing is where the reduced cost of a column changes its sign.
type crossing struct {
	column int
	ratio  float64
}

func (c crossing) before(other crossing) bool {
	return c.ratio < other.ratio || c.ratio == other.ratio && c.column < other.column
}

// crossings are a heap: of many only the nearest few are taken.
type crossings []crossing

func (c crossings) order() {
	for at := len(c)/2 - 1; at >= 0; at-- {
		c.sink(at)
	}
}

func (c crossings) sink(at int) {
	for {
		child := 2*at + 1
		if child >= len(c) {
			return
		}
		if child+1 < len(c) && c[child+1].before(c[child]) {
			child++
		}
		if !c[child].before(c[at]) {
			return
		}
		c[at], c[child] = c[child], c[at]
		at = child
	}
}

// pop takes the nearest.
func (c *crossings) pop() crossing {
	all := *c
	nearest := all[0]
	all[0] = all[len(all)-1]
	*c = all[:len(all)-1]
	c.sink(0)
	return nearest
}
