package locate

import (
	"context"
	"iter"
	"math"

	"graftslip/codes/scan/internal/pixels"
)

const (
	matrixLeastSide = 14 // pixels: ten modules, the smallest symbol
	matrixLeastArm  = 10 // pixels: eight modules
	matrixMostSide  = 1200
)

// Border is the solid edge of a Data Matrix: two arms from a corner.
type Border struct{ Top, Corner, Right pixels.Point }

// Borders yields, for each connected component of print, dark or light, the
// corners that the border of a symbol may have there.
func Borders(ctx context.Context, v *pixels.Level, light bool) iter.Seq[[]Border] {
	// A symbol that is turned by 45° fills half of its box with at least its two
	// arms, and a third of its modules.
	limits := pixels.ComponentLimits{Least: matrixLeastSide, Most: matrixMostSide, Fill: 0.12}
	return func(yield func([]Border) bool) {
		for _, p := range pixels.Components(ctx, v, light, limits) {
			if ctx.Err() != nil || !yield(borderCorners(v, &p, light)) {
				return
			}
		}
	}
}

// borderCorners finds pairs of straight, solid edges of a piece at a right angle.
func borderCorners(level *pixels.Level, p *pixels.Component, inverted bool) []Border {
	size := float64(max(p.Right-p.Left, p.Bottom-p.Top))
	hull := p.Hull(1.2 + 0.01*size)
	type side struct{ from, to pixels.Point }
	var sides []side
	for i, from := range hull {
		to := hull[(i+1)%len(hull)]
		if from.Distance(to) > matrixLeastArm && covered(level, from, to, inverted) > 0.8 {
			sides = append(sides, side{from, to})
		}
	}
	// Clockwise round the hull come the bottom, from right to left, and then
	// the left side, from the corner up.
	var result []Border
	for i, bottom := range sides {
		for j, left := range sides {
			if i == j {
				continue
			}
			u, v := bottom.from.Sub(bottom.to), left.to.Sub(left.from)
			lu, lv := u.Length(), v.Length()
			if u.Cross(v) >= 0 || math.Abs(u.Dot(v)) > 0.3*lu*lv || lu > 6*lv || lv > 6*lu {
				continue
			}
			corner := crossing(bottom.to, u, left.from, v)
			near := 3 + 0.1*min(lu, lv)
			if corner.Distance(bottom.to) > near || corner.Distance(left.from) > near {
				continue
			}
			// The two other sides are broken lines. Frames and letters have more.
			opposite := left.to.Add(u)
			if covered(level, left.to, opposite, inverted) > 0.85 || covered(level, opposite, bottom.from, inverted) > 0.85 {
				continue
			}
			result = append(result, Border{left.to, corner, bottom.from})
		}
	}
	return result
}

// crossing is where two lines meet that are not parallel.
func crossing(a, u, b, v pixels.Point) pixels.Point {
	return a.Add(u.Mul(b.Sub(a).Cross(v) / u.Cross(v)))
}

// covered is the share of print just inside an edge that goes clockwise round
// a piece.
func covered(v *pixels.Level, from, to pixels.Point, inverted bool) float64 {
	along := to.Sub(from)
	length := along.Length()
	along = along.Mul(1 / length)
	inward := pixels.Pt(-along.Y, along.X)
	t, inked, count := v.Thresholds(), 0, 0
	for i := 1.0; i < length; i++ {
		p := from.Add(along.Mul(i)).Add(inward)
		if (v.At(p) < t.At(p)) != inverted {
			inked++
		}
		count++
	}
	return float64(inked) / float64(max(count, 1))
}
