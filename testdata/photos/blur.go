package photos

import "math"

// blurBell blurs a plane by a bell curve with a standard deviation in pixels.
// Edges go on as they are.
func blurBell(plane []float32, width, height int, deviation float64) {
	if deviation < 0.2 {
		return
	}
	reach := int(math.Ceil(3 * deviation))
	bell := make([]float32, 2*reach+1)
	sum := 0.0
	for i := range bell {
		d := float64(i - reach)
		v := math.Exp(-d * d / (2 * deviation * deviation))
		bell[i] = float32(v)
		sum += v
	}
	for i := range bell {
		bell[i] /= float32(sum)
	}
	across(plane, width, height, bell)
	down(plane, width, height, bell)
}

func across(plane []float32, width, height int, kernel []float32) {
	reach := len(kernel) / 2
	wide := make([]float32, width+2*reach)
	for y := range height {
		row := plane[y*width:][:width]
		copy(wide[reach:], row)
		for i := range reach {
			wide[i], wide[reach+width+i] = row[0], row[width-1]
		}
		clear(row)
		for k, weight := range kernel {
			for x, v := range wide[k:][:width] {
				row[x] += v * weight
			}
		}
	}
}

func down(plane []float32, width, height int, kernel []float32) {
	reach := len(kernel) / 2
	from := append([]float32(nil), plane...)
	for y := range height {
		row := plane[y*width:][:width]
		clear(row)
		for k, weight := range kernel {
			at := min(max(y+k-reach, 0), height-1)
			for x, v := range from[at*width:][:width] {
				row[x] += v * weight
			}
		}
	}
}

// blurDisc blurs a plane by a disc with a radius in pixels, as a lens does
// that is focused elsewhere.
func blurDisc(plane []float32, width, height int, radius float64) {
	reach := int(math.Ceil(radius))
	// The disc's rows: how far each reaches to either side, in parts of a pixel.
	chords := make([]float64, 2*reach+1)
	area := 0.0
	for i := range chords {
		d := float64(i - reach)
		chords[i] = math.Sqrt(max(0, radius*radius-d*d))
		if chords[i] > 0 {
			area += 2*chords[i] + 1e-9
		}
	}
	sums := make([]float64, (width+2*reach+2)*height)
	stride := width + 2*reach + 2
	for y := range height {
		row, run := plane[y*width:][:width], 0.0
		for x := range stride - 1 {
			run += float64(row[min(max(x-reach, 0), width-1)])
			sums[y*stride+x+1] = run
		}
	}
	for y := range height {
		row := plane[y*width:][:width]
		clear(row)
		for i, chord := range chords {
			if chord == 0 {
				continue
			}
			// A run of 2 × chord around a pixel's middle ends within pixels.
			from := sums[min(max(y+i-reach, 0), height-1)*stride:][:stride]
			ends := chord - 0.5
			whole := math.Floor(ends)
			part, n := ends-whole, int(whole)
			for x := range row {
				m := x + reach
				inner := from[m+n+1] - from[m-n]
				outer := from[min(m+n+2, stride-1)] - from[max(m-n-1, 0)]
				row[x] += float32((inner + (outer-inner)*part) / area)
			}
		}
	}
}

// blurBoxes blurs a plane about as blurBell does, in the same time for any
// deviation.
func blurBoxes(plane []float32, width, height int, deviation float64) {
	const times = 3
	side := int(math.Round(math.Sqrt(12*deviation*deviation/times+1)-1) / 2)
	if side < 1 {
		blurBell(plane, width, height, deviation)
		return
	}
	for range times {
		boxAcross(plane, width, height, side)
		boxDown(plane, width, height, side)
	}
}

func boxAcross(plane []float32, width, height, side int) {
	from := make([]float32, width)
	share := 1 / float32(2*side+1)
	for y := range height {
		row := plane[y*width:][:width]
		copy(from, row)
		var run float32
		for x := -side; x <= side; x++ {
			run += from[min(max(x, 0), width-1)]
		}
		for x := range row {
			row[x] = run * share
			run += from[min(x+side+1, width-1)] - from[max(x-side, 0)]
		}
	}
}

func boxDown(plane []float32, width, height, side int) {
	from := append([]float32(nil), plane...)
	share := 1 / float32(2*side+1)
	run := make([]float32, width)
	for y := -side; y <= side; y++ {
		for x, v := range from[min(max(y, 0), height-1)*width:][:width] {
			run[x] += v
		}
	}
	for y := range height {
		add, take := from[min(y+side+1, height-1)*width:][:width], from[max(y-side, 0)*width:][:width]
		row := plane[y*width:][:width]
		for x := range row {
			row[x] = run[x] * share
			run[x] += add[x] - take[x]
		}
	}
}

// smear blurs a plane along a straight way, as a camera does that moves.
func smear(plane []float32, width, height int, way point) {
	steps := int(math.Ceil(way.length())) + 1
	from := append([]float32(nil), plane...)
	clear(plane)
	for i := range steps {
		part := 0.0
		if steps > 1 {
			part = float64(i)/float64(steps-1) - 0.5
		}
		dx, dy := way.x*part, way.y*part
		left, upper := math.Floor(dx), math.Floor(dy)
		px, py := dx-left, dy-upper
		for corner := range 4 {
			cx, cy := corner%2, corner/2
			weight := (px*float64(cx) + (1-px)*float64(1-cx)) * (py*float64(cy) + (1-py)*float64(1-cy)) / float64(steps)
			if weight > 0 {
				addMoved(plane, from, width, height, int(left)+cx, int(upper)+cy, float32(weight))
			}
		}
	}
}

func addMoved(plane, from []float32, width, height, dx, dy int, weight float32) {
	for y := range height {
		row, source := plane[y*width:][:width], from[min(max(y-dy, 0), height-1)*width:][:width]
		first, last := min(max(dx, 0), width), max(min(width+dx, width), 0)
		for x := range first {
			row[x] += source[0] * weight
		}
		if last > first {
			for x, v := range source[first-dx : last-dx] {
				row[first+x] += v * weight
			}
		}
		for x := max(first, last); x < width; x++ {
			row[x] += source[width-1] * weight
		}
	}
}
