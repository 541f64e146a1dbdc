package pixels

import (
	"context"
)

// run is a stretch of pixels of one kind in a row: columns from up to, without, to.
type run struct {
	y, from, to int32
	parent      int32 // in the tree of runs that touch
}

// Component is a connected piece of dark (or light) print.
type Component struct {
	Left, Top, Right, Bottom int // its box; right and bottom are just outside
	area                     int
	// leftmost and rightmost extent at each line between rows, from top to
	// bottom: the outline from which the hull is made.
	lefts, rights []int32
}

// ComponentLimits says which pieces are of use.
type ComponentLimits struct {
	Least, Most int     // pixels of the longer side of the box
	Fill        float64 // least share of the box that is covered
}

// Components gives the connected pieces (also over corners) of dark pixels, or of
// light ones, within limits.
func Components(ctx context.Context, v *Level, light bool, limits ComponentLimits) []Component {
	g, t := v.Grey, v.Thresholds()
	var runs []run
	previous, current := 0, 0
	for y := range g.Height {
		if y%256 == 0 && ctx.Err() != nil {
			return nil
		}
		previous, current = current, len(runs)
		runs = appendRuns(runs, g, t, y, light)
		joinRows(runs, previous, current)
	}
	return gather(runs, limits)
}

func appendRuns(runs []run, g *Grey, t *Thresholds, y int, light bool) []run {
	line := g.Pix[y*g.Stride:][:g.Width]
	levels := t.Level[(y>>BlockPower)*t.Columns:][:t.Columns]
	open := false
	for column, level := range levels {
		from := column << BlockPower
		for i, v := range line[from:min(from+Block, g.Width)] {
			if in := (v >= level) == light; in != open {
				if open {
					runs[len(runs)-1].to = int32(from + i)
				} else {
					runs = append(runs, run{y: int32(y), from: int32(from + i), parent: int32(len(runs))})
				}
				open = in
			}
		}
	}
	if open {
		runs[len(runs)-1].to = int32(g.Width)
	}
	return runs
}

// joinRows joins the runs of one row with those of the row above that touch.
func joinRows(runs []run, previous, current int) {
	above := previous
	for i := current; i < len(runs); i++ {
		for above < current && runs[above].to < runs[i].from {
			above++
		}
		for j := above; j < current && runs[j].from <= runs[i].to; j++ {
			a, b := rootOf(runs, int32(i)), rootOf(runs, int32(j))
			// The older run stays the root, so roots come before their runs.
			runs[max(a, b)].parent = min(a, b)
		}
	}
}

func rootOf(runs []run, i int32) int32 {
	for runs[i].parent != i {
		runs[i].parent = runs[runs[i].parent].parent
		i = runs[i].parent
	}
	return i
}

// gather makes pieces of the joined runs.
func gather(runs []run, limits ComponentLimits) []Component {
	boxes := make(map[int32]*Component)
	for i, r := range runs {
		root := rootOf(runs, int32(i))
		runs[i].parent = root
		p := boxes[root]
		if p == nil {
			p = &Component{Left: int(r.from), Right: int(r.to), Top: int(r.y)}
			boxes[root] = p
		}
		p.Left, p.Right, p.Bottom = min(p.Left, int(r.from)), max(p.Right, int(r.to)), int(r.y)+1
		p.area += int(r.to - r.from)
	}
	var result []Component
	index := make(map[int32]int)
	for i, r := range runs {
		p := boxes[r.parent]
		width, height := p.Right-p.Left, p.Bottom-p.Top
		longer := max(width, height)
		if longer < limits.Least || longer > limits.Most || float64(p.area) < limits.Fill*float64(width*height) {
			continue
		}
		if int32(i) == r.parent {
			p.lefts, p.rights = make([]int32, height+1), make([]int32, height+1)
			for line := range p.lefts {
				p.lefts[line], p.rights[line] = int32(p.Right), int32(p.Left)
			}
			index[r.parent] = len(result)
			result = append(result, *p)
		}
		p = &result[index[r.parent]]
		for line := int(r.y) - p.Top; line <= int(r.y)-p.Top+1; line++ {
			p.lefts[line] = min(p.lefts[line], r.from)
			p.rights[line] = max(p.rights[line], r.to)
		}
	}
	return result
}

// Hull is the smallest polygon without dents around the piece, clockwise as
// seen (the picture's y runs down), with vertices that lie almost on a line
// between their neighbours left out.
func (p *Component) Hull(tolerance float64) []Point {
	var outline []Point // right side downwards, then left side upwards
	for i, x := range p.rights {
		outline = appendConvex(outline, 0, Point{float64(x), float64(p.Top + i)})
	}
	turn := len(outline)
	for i := len(p.lefts) - 1; i >= 0; i-- {
		outline = appendConvex(outline, turn, Point{float64(p.lefts[i]), float64(p.Top + i)})
	}
	return simplified(outline, tolerance)
}

// appendConvex adds the next point of one side of the hull and drops those
// since start that it leaves in a dent.
func appendConvex(outline []Point, start int, next Point) []Point {
	for n := len(outline); n >= start+2; n-- {
		if outline[n-1].Sub(outline[n-2]).Cross(next.Sub(outline[n-1])) > 0 {
			break
		}
		outline = outline[:n-1]
	}
	return append(outline, next)
}

// simplified drops the flattest vertices of a polygon, one at a time.
func simplified(polygon []Point, tolerance float64) []Point {
	for len(polygon) > 3 {
		flattest, least := -1, tolerance
		for i, p := range polygon {
			before, after := polygon[(i+len(polygon)-1)%len(polygon)], polygon[(i+1)%len(polygon)]
			chord := after.Sub(before)
			off := 0.0
			if length := chord.Length(); length > 0 {
				off = chord.Cross(p.Sub(before)) / length
			}
			if off < 0 {
				off = -off
			}
			if off < least {
				flattest, least = i, off
			}
		}
		if flattest < 0 {
			break
		}
		polygon = append(polygon[:flattest], polygon[flattest+1:]...)
	}
	return polygon
}
