package fit

import (
	"math"

	"graftslip/codes/scan/internal/locate"
	"graftslip/codes/scan/internal/pixels"
)

// Affine is a grid of modules laid over a picture: module (i, j) has its middle
// at origin + (i+½)·across + (j+½)·down.
type Affine struct {
	level         *pixels.Level
	inverted      bool // the symbol is light on dark
	origin        pixels.Point
	across, down  pixels.Point // one module
	Columns, rows int
}

// Place is the position of a point of the grid, in modules.
func (f *Affine) Place(x, y float64) pixels.Point {
	return f.origin.Add(f.across.Mul(x)).Add(f.down.Mul(y))
}

func (f *Affine) Corners() [4]pixels.Point {
	w, h := float64(f.Columns), float64(f.rows)
	return [4]pixels.Point{f.Place(0, 0), f.Place(w, 0), f.Place(w, h), f.Place(0, h)}
}

func (f *Affine) Module() float64 {
	return math.Sqrt(math.Abs(f.across.Cross(f.down)))
}

// QRAffine lays the modules of a QR code over the middles of its finders.
func QRAffine(v *pixels.Level, t *locate.Triple) *Affine {
	corner, side := t.Corner.Middle, t.Side
	across := t.Right.Middle.Sub(corner).Mul(1 / float64(side-7))
	down := t.Below.Middle.Sub(corner).Mul(1 / float64(side-7))
	origin := corner.Sub(across.Mul(3.5)).Sub(down.Mul(3.5))
	return &Affine{v, t.Corner.Inverted, origin, across, down, side, side}
}

// MatrixAffine lays the modules of a Data Matrix inside its border.
func MatrixAffine(v *pixels.Level, b locate.Border, inverted bool, columns, rows int) *Affine {
	return &Affine{level: v, inverted: inverted, origin: b.Top, Columns: columns, rows: rows,
		across: b.Right.Sub(b.Corner).Mul(1 / float64(columns)),
		down:   b.Corner.Sub(b.Top).Mul(1 / float64(rows))}
}

// Timing tells how well the broken lines at the top and at the right of a Data
// Matrix are met: their correlation with the dark and light that belongs there,
// 1 when all are as they must be, 0 for chance. Blur and uneven light leave it
// high.
func (f *Affine) Timing() float64 {
	top := make([]float64, f.Columns)
	for x := range top {
		top[x] = f.level.At(f.Place(float64(x)+0.5, 0.5))
	}
	right := make([]float64, f.rows)
	for y := range right {
		right[f.rows-1-y] = f.level.At(f.Place(float64(f.Columns)-0.5, float64(y)+0.5))
	}
	timing := (alternation(top) + alternation(right)) / 2
	if f.inverted {
		return -timing
	}
	return timing
}

// alternation is the correlation of values, of which there is an even number,
// with low, high, low, high …
func alternation(values []float64) float64 {
	sum, squares, signed := 0.0, 0.0, 0.0
	for i, v := range values {
		sum += v
		squares += v * v
		signed += v * float64(i%2*2-1)
	}
	n := float64(len(values))
	return signed / n / max(math.Sqrt(max(squares/n-sum*sum/n/n, 0)), 1)
}

// Frame tells how well the whole frame of a Data Matrix is met: the solid
// border, the broken lines and the light around. 1 is full contrast everywhere.
func (f *Affine) Frame() float64 {
	t := f.level.Thresholds()
	middle := f.Place(float64(f.Columns)/2, float64(f.rows)/2)
	level, scale := t.At(middle), 2/max(t.SpanAt(middle), pixels.MinContrast)
	if f.inverted {
		scale = -scale
	}
	sum := 0.0
	see := func(x, y int, dark bool) {
		value := scale * (level - f.level.At(f.Place(float64(x)+0.5, float64(y)+0.5)))
		if !dark {
			value = -value
		}
		sum += min(max(value, -1), 1)
	}
	for x := range f.Columns {
		see(x, 0, x%2 == 0)
		see(x, f.rows-1, true)
		see(x, f.rows, false)
		see(x, -1, false)
	}
	for y := range f.rows {
		see(f.Columns-1, y, (f.rows-1-y)%2 == 0)
		see(0, y, true)
		see(-1, y, false)
		see(f.Columns, y, false)
	}
	return sum / float64(4*f.Columns+4*f.rows)
}

// Fitted moves the corners of a field, in steps from a third of a module down,
// as long as its frame is met better.
func (f *Affine) Fitted() *Affine {
	best, match := *f, f.Frame()
	Climb(f.Module()/3, f.Module()/20, 2, 4, 6, func(move int, by float64) bool {
		moved := best.moved(move, by)
		if frame := moved.Frame(); frame > match {
			best, match = moved, frame
			return true
		}
		return false
	})
	return &best
}

// moved is the field with its upper left, upper right or lower left corner moved
// by so many pixels along a row or column of the picture.
func (f *Affine) moved(move int, by float64) Affine {
	shift := pixels.Pt(by, 0)
	if move%2 == 1 {
		shift = pixels.Pt(0, by)
	}
	moved := *f
	across, down := shift.Mul(1/float64(f.Columns)), shift.Mul(1/float64(f.rows))
	switch move / 2 {
	case 0:
		moved.origin = f.origin.Add(shift)
		moved.across, moved.down = f.across.Sub(across), f.down.Sub(down)
	case 1:
		moved.across = f.across.Add(across)
	case 2:
		moved.down = f.down.Add(down)
	}
	return moved
}
