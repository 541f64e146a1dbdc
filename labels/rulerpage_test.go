package labels

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

// Every place has its outline and, in its middle, its number. On a narrow roll
// the number gives way to the rule.
func TestRulerPlaces(t *testing.T) {
	face := builtIn(t)
	for _, stock := range rulerStocks(t) {
		t.Run(stock.Name, func(t *testing.T) {
			r := DesignRuler(stock, layouts.Correction{}, face, 300)
			var largest float64
			for _, text := range r.Page.Texts {
				largest = max(largest, text.Size)
			}
			for place := range stock.Count() {
				at := stock.Position(place).Rect
				numbers := slices.DeleteFunc(slices.Clone(r.Page.Texts), func(text Text) bool {
					return text.String != strconv.Itoa(place+1) || text.Weight != Bold || !at.Contains(text.Ink)
				})
				require.Len(t, numbers, 1, "place %d", place+1)
				number := numbers[0]
				require.Equal(t, largest, number.Size, "nothing is larger than a number")
				require.Equal(t, stock.Turn(), number.Turn)
				if at.Width > 20 {
					require.InDelta(t, at.X+at.Width/2, number.Ink.X+number.Ink.Width/2, 0.01)
					require.InDelta(t, at.Y+at.Height/2, number.Ink.Y+number.Ink.Height/2, 0.01)
				}
				right, bottom := at.X+at.Width, at.Y+at.Height
				for _, edge := range [][4]float64{{at.X, at.Y, right, at.Y}, {at.X, bottom, right, bottom}, {at.X, at.Y, at.X, bottom}, {right, at.Y, right, bottom}} {
					require.True(t, hasLine(r.Page, edge), "place %d has no edge %v", place+1, edge)
				}
			}
		})
	}
}

func hasLine(slip Design, ends [4]float64) bool {
	return slices.ContainsFunc(slip.Lines, func(l Line) bool {
		const slack = 1e-6
		near := func(x1, y1, x2, y2 float64) bool {
			return math.Abs(x1-ends[0]) < slack && math.Abs(y1-ends[1]) < slack && math.Abs(x2-ends[2]) < slack && math.Abs(y2-ends[3]) < slack
		}
		return near(l.FromX, l.FromY, l.ToX, l.ToY) || near(l.ToX, l.ToY, l.FromX, l.FromY)
	})
}

// The rules of every stock: a mark on each whole millimetre of the paper,
// counted from its upper left corner, longer ones at 5 and 10, and figures
// that stand at the marks they name.
func TestRulerMarks(t *testing.T) {
	face := builtIn(t)
	for _, stock := range rulerStocks(t) {
		t.Run(stock.Name, func(t *testing.T) {
			r := DesignRuler(stock, layouts.Correction{}, face, 300)
			for _, way := range []struct {
				name         string
				length, side float64
				along        func(x, y float64) float64
				across       func(x, y float64) float64
			}{
				{"across", stock.Paper.Width, stock.Paper.Height, func(x, _ float64) float64 { return x }, func(_, y float64) float64 { return y }},
				{"down", stock.Paper.Height, stock.Paper.Width, func(_, y float64) float64 { return y }, func(x, _ float64) float64 { return x }},
			} {
				// The rule's base runs from edge to edge and is no outline.
				var bases []float64
				for _, l := range r.Page.Lines {
					at := way.across(l.FromX, l.FromY)
					full := way.along(l.FromX, l.FromY) == 0 && math.Abs(way.along(l.ToX, l.ToY)-way.length) < 1e-9 || way.along(l.ToX, l.ToY) == 0 && math.Abs(way.along(l.FromX, l.FromY)-way.length) < 1e-9
					if full && way.across(l.ToX, l.ToY) == at && !onEdge(stock, at, way.name == "down") {
						bases = append(bases, at)
					}
				}
				require.Len(t, bases, 1, way.name)
				base, missing := bases[0], 0
				lengths := map[int]float64{}
				for mark := 0; float64(mark) <= way.length; mark++ {
					for _, l := range r.Page.Lines {
						from, to := way.across(l.FromX, l.FromY), way.across(l.ToX, l.ToY)
						here := math.Abs(way.along(l.FromX, l.FromY)-float64(mark)) < 1e-9 && math.Abs(way.along(l.ToX, l.ToY)-float64(mark)) < 1e-9
						if here && from == base && math.Abs(to-from) < longMark+0.001 {
							lengths[mark] = math.Abs(to - from)
						}
					}
					if lengths[mark] == 0 {
						missing++
					}
				}
				require.LessOrEqual(t, missing, 13, "marks of the %s rule are left out where the other crosses it, and only there", way.name)
				for mark, length := range lengths {
					switch {
					case mark%10 == 0:
						require.Greater(t, length, lengths[1]*1.5)
					case mark%5 == 0:
						require.True(t, length > lengths[1]*1.2, "mark %d", mark)
					default:
						require.Equal(t, lengths[1], length)
					}
				}
				for _, text := range r.Page.Texts {
					value, err := strconv.Atoi(text.String)
					middleX, middleY := text.Ink.X+text.Ink.Width/2, text.Ink.Y+text.Ink.Height/2
					if err != nil || text.Weight != Regular || math.Abs(way.across(middleX, middleY)-base) > longMark+figureGap+3 || lengths[value] == 0 {
						continue
					}
					if math.Abs(way.along(middleX, middleY)-float64(value)) < 3 {
						delete(lengths, value) // this figure stands at its mark
					}
				}
				without := 0
				for mark := 10; float64(mark) < way.length-30; mark += 10 {
					if lengths[mark] > 0 {
						without++
					}
				}
				require.LessOrEqual(t, without, 2, "nearly every mark of 10 mm has its figure")
			}
		})
	}
}

// onEdge reports whether an edge of a label lies at a distance from the left
// (or else upper) edge of the paper.
func onEdge(s layouts.Stock, at float64, left bool) bool {
	for place := range s.Count() {
		r := s.Position(place).Rect
		near, far := r.Y, r.Y+r.Height
		if left {
			near, far = r.X, r.X+r.Width
		}
		if math.Abs(at-near) < 1e-6 || math.Abs(at-far) < 1e-6 {
			return true
		}
	}
	return false
}
