package decode

import (
	"math"

	"graftslip/codes/scan/internal/fit"
	"graftslip/codes/scan/internal/pixels"
	"graftslip/codes/scan/internal/restore"
)

// equalizer finds which modules are dark where blur has mixed each with its
// neighbours: it learns from the picture how much of each neighbour a sample
// holds, and then looks for the modules that would look most like it. The blur
// may be of any shape, out of focus or shaken.
type equalizer struct {
	s      *fit.Samples
	wide   int       // modules across with the ring around
	high   int       // and down
	value  []float64 // of the samples, 0 where dark is expected, 1 where light
	dark   []bool
	fixed  []bool    // modules that are known
	errors []float64 // value less what dark and kernel predict
	kernel [9]float64
	base   float64
	slopes pixels.Point
}

const (
	equalizeRounds = 4
	equalizeSweeps = 6
)

// equalized gives the modules of a field and how sure each is: by how much the
// picture would fit worse if it were the other. It begins with modules that
// were told in another way; those that are known stay as they are. explained is
// the share of the differences between the samples that the modules explain.
// nil: the picture tells nothing of the kind.
func equalized(s *fit.Samples, first []restore.Module, known []fit.Known) (modules []restore.Module, explained float64) {
	e := &equalizer{s: s, wide: s.Columns + 2, high: s.Rows + 2, value: s.Values}
	e.dark, e.fixed = make([]bool, len(e.value)), make([]bool, len(e.value)) // the ring is light
	for i, m := range first {
		e.dark[s.Index(i%s.Columns, i/s.Columns)] = m.Dark
	}
	for _, k := range known {
		if x, y := int(math.Floor(k.X)), int(math.Floor(k.Y)); x >= 0 && x < s.Columns && y >= 0 && y < s.Rows {
			e.dark[s.Index(x, y)], e.fixed[s.Index(x, y)] = !k.Light, true
		}
	}
	e.errors = make([]float64, len(e.value))
	for range equalizeRounds {
		if !e.learn() {
			return nil, 0
		}
		e.predict()
		changed := false
		for range equalizeSweeps {
			if !e.sweep() {
				break
			}
			changed = true
		}
		if !changed {
			break
		}
	}
	modules = make([]restore.Module, s.Columns*s.Rows)
	for y := range s.Rows {
		for x := range s.Columns {
			i := s.Index(x, y)
			modules[y*s.Columns+x] = restore.Module{Dark: e.dark[i], Sure: max(e.worse(i), 0)}
		}
	}
	return modules, e.explained()
}

// explained is one less what is left of the variance of the samples.
func (e *equalizer) explained() float64 {
	var n, sum, squares, left float64
	for y := range e.s.Rows {
		for x := range e.s.Columns {
			i := e.s.Index(x, y)
			n++
			sum += e.value[i]
			squares += e.value[i] * e.value[i]
			left += e.errors[i] * e.errors[i]
		}
	}
	return 1 - left/max(squares-sum*sum/n, 1e-9)
}

// learn finds, by least squares over the modules within the ring, the kernel
// with which the modules as they are now taken explain the samples, and the
// light, which may be less on one side.
func (e *equalizer) learn() bool {
	const unknowns = 12
	var normal [unknowns][unknowns + 1]float64
	var row [unknowns]float64
	for y := 1; y < e.high-1; y++ {
		for x := 1; x < e.wide-1; x++ {
			i := y*e.wide + x
			for k := range 9 {
				row[k] = light(e.dark[i+(k/3-1)*e.wide+k%3-1])
			}
			row[9], row[10], row[11] = 1, e.across(x), e.down(y)
			for a := range unknowns {
				for b := a; b < unknowns; b++ {
					normal[a][b] += row[a] * row[b]
				}
				normal[a][unknowns] += row[a] * e.value[i]
			}
		}
	}
	for a := range unknowns {
		for b := range a {
			normal[a][b] = normal[b][a]
		}
		normal[a][a] += 0.5 // keeps what the modules do not tell near to nothing
	}
	// Half of a module's light, at least, is expected in its own sample.
	normal[4][unknowns] += 0.5 * (e.contrast() / 2)
	solution, ok := solved(normal[:])
	if !ok {
		return false
	}
	copy(e.kernel[:], solution[:9])
	e.base, e.slopes = solution[9], pixels.Pt(solution[10], solution[11])
	return e.kernel[4] > 0
}

// across and down are where a module lies, from -1 to 1.
func (e *equalizer) across(x int) float64 { return 2*float64(x)/float64(e.wide-1) - 1 }

func (e *equalizer) down(y int) float64 { return 2*float64(y)/float64(e.high-1) - 1 }

func (e *equalizer) contrast() float64 {
	var sum, count [2]float64
	for i, v := range e.value {
		k := int(light(e.dark[i]))
		sum[k] += v
		count[k]++
	}
	return sum[1]/max(count[1], 1) - sum[0]/max(count[0], 1)
}

func light(dark bool) float64 {
	if dark {
		return 0
	}
	return 1
}

func (e *equalizer) predict() {
	for y := 1; y < e.high-1; y++ {
		for x := 1; x < e.wide-1; x++ {
			i := y*e.wide + x
			sum := e.base + e.slopes.X*e.across(x) + e.slopes.Y*e.down(y)
			for k, weight := range e.kernel {
				if !e.dark[i+(k/3-1)*e.wide+k%3-1] {
					sum += weight
				}
			}
			e.errors[i] = e.value[i] - sum
		}
	}
}

// worse is by how much the squares of the errors around grow when a module is
// taken for the other.
func (e *equalizer) worse(i int) float64 {
	sign := 1.0 // what its sample's prediction gains
	if !e.dark[i] {
		sign = -1
	}
	sum := 0.0
	for k, weight := range e.kernel {
		j := i - (k/3-1)*e.wide - (k%3 - 1)
		if x := j % e.wide; x == 0 || x == e.wide-1 || j < e.wide || j >= len(e.errors)-e.wide {
			continue // samples of the ring are not predicted
		}
		change := e.errors[j] - sign*weight
		sum += change*change - e.errors[j]*e.errors[j]
	}
	return sum
}

// sweep turns every module that fits better as the other.
func (e *equalizer) sweep() (changed bool) {
	for y := 1; y < e.high-1; y++ {
		for x := 1; x < e.wide-1; x++ {
			i := y*e.wide + x
			if e.fixed[i] || e.worse(i) >= 0 {
				continue
			}
			changed = true
			sign := 1.0
			if !e.dark[i] {
				sign = -1
			}
			e.dark[i] = !e.dark[i]
			for k, weight := range e.kernel {
				e.errors[i-(k/3-1)*e.wide-(k%3-1)] -= sign * weight
			}
		}
	}
	return changed
}

// solved gives the solution of linear equations, whose right sides stand in
// the last column, by elimination with pivots.
func solved(m [][13]float64) ([]float64, bool) {
	n := len(m)
	for column := range n {
		pivot := column
		for row := column + 1; row < n; row++ {
			if math.Abs(m[row][column]) > math.Abs(m[pivot][column]) {
				pivot = row
			}
		}
		if math.Abs(m[pivot][column]) < 1e-9 {
			return nil, false
		}
		m[column], m[pivot] = m[pivot], m[column]
		for row := range n {
			if row == column {
				continue
			}
			f := m[row][column] / m[column][column]
			for k := column; k <= n; k++ {
				m[row][k] -= f * m[column][k]
			}
		}
	}
	solution := make([]float64, n)
	for i := range solution {
		solution[i] = m[i][n] / m[i][i]
	}
	return solution, true
}
