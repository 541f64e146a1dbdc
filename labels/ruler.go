package labels

import (
	"math"
	"slices"
	"strconv"

	"graftslip/codes/symbol"
	"graftslip/layouts"
)

// Measures of the rules in mm, and the size of their figures in points.
const (
	longMark   = 3.0 // every 10 mm
	leastMark  = 1.8 // the same on narrow paper
	figureGap  = 0.5
	figureSize = 6.5
	ruleFree   = 1.0 // between a rule and anything else

	// Height of a number: a fifth of its label, more on low labels.
	numberShare     = 0.2
	leastNumber     = 3.3
	mostNumberShare = 0.26
)

// Ruler is a page to measure a printer with, and to hold against label stock.
type Ruler struct {
	Page    Design
	Stock   layouts.Stock // the whole paper as one place
	LeftOut []string      // words for which the paper has no room
}

// DesignRuler lays out the ruler page of a stock: the outline and number of
// every place, a millimetre rule both ways, and how to use them. The words fit
// themselves between the numbers. Lines are whole printer dots thick. The
// correction is printed, not applied: package pdf applies it to all designs.
func DesignRuler(stock layouts.Stock, correction layouts.Correction, face *Typeface, dpi float64) Ruler {
	var design Design
	page := layouts.Placed{Rect: stock.Paper.Rect(), Turn: stock.Turn()}
	r := newRulerPage(stock, canvas{&design, face, page}, dpi)
	r.findRules()
	for _, label := range r.labels {
		r.rectangle(label, r.thickness)
	}
	across, down := r.drawRule(false), r.drawRule(true)
	if page.Turn.Sideways() {
		across, down = down, across
	}
	for i, ink := range r.numbers {
		r.textIn(strconv.Itoa(i+1), r.size, Bold, ink)
	}
	left := r.drawNotices(notices(stock, correction, across, down), [3]string{"Printer", "--shift", "--scale"})
	return Ruler{Page: design, LeftOut: left, Stock: layouts.Page("ruler-"+stock.Name, stock.Paper)}
}

// rulerPage is a ruler page in the making, as its reader sees it: on paper
// whose labels lie sideways, sideways.
type rulerPage struct {
	canvas
	stock     layouts.Stock
	paper     layouts.Size
	reach     layouts.Rect // what may carry text
	labels    []layouts.Rect
	numbers   []layouts.Rect // ink of the numbers
	size      float64        // of the numbers, points
	thickness float64        // of lines, mm
	mark      float64        // length of the marks of 10 mm
	rules     [2]layouts.Rect
}

func newRulerPage(stock layouts.Stock, c canvas, dpi float64) *rulerPage {
	dot := symbol.Dot(dpi)
	r := &rulerPage{canvas: c, stock: stock, paper: c.place.Inner(), thickness: dot * max(1, math.Round(0.13/dot))}
	margin := layouts.Unprintable
	if stock.Medium == layouts.Roll {
		margin = layouts.Edge
	}
	r.reach = r.paper.Rect().Inset(margin, margin, margin, margin)
	r.mark = max(leastMark, min(longMark, 0.12*min(r.paper.Width, r.paper.Height)))
	upright := layouts.Placed{Rect: r.paper.Rect(), Turn: (4 - c.place.Turn) % 4}
	for i := range stock.Count() {
		r.labels = append(r.labels, upright.Area(stock.Position(i).Rect))
	}
	// Large, and yet with room for words above or below.
	widest := c.face.measure(strconv.Itoa(stock.Count()), 1, Bold)
	label := r.labels[0]
	height := max(numberShare*label.Height, min(leastNumber, mostNumberShare*label.Height))
	r.size = min(60, height/widest.top, 0.4*label.Width/(widest.right-widest.left))
	for i, label := range r.labels {
		r.numbers = append(r.numbers, r.numberInk(i, label))
	}
	return r
}

// numberInk is what number i blackens in the middle of an area.
func (r *rulerPage) numberInk(i int, area layouts.Rect) layouts.Rect {
	e := r.face.measure(strconv.Itoa(i+1), r.size, Bold)
	width, height := e.right-e.left, e.top-e.bottom
	return layouts.Rect{X: area.X + (area.Width-width)/2, Y: area.Y + (area.Height-height)/2, Width: width, Height: height}
}

// findRules places the rules at the far edges, so that they cross behind the
// marks from which one measures, but moves them inwards off numbers and
// outlines. On narrow paper, where they cannot avoid the number, it is the
// number that moves.
func (r *rulerPage) findRules() {
	for i, standing := range []bool{false, true} {
		r.rules[i] = r.findRule(standing)
	}
	areas := slices.Clone(r.labels)
	for i, label := range r.labels {
		if r.onRule(grown(r.numbers[i], ruleFree/2)) {
			areas[i] = r.offRules(label.Intersect(r.reach))
			e := r.face.measure("8", 1, Bold)
			r.size = max(LeastSize, min(r.size, areas[i].Height/(e.top-e.bottom)))
		}
	}
	for i, area := range areas {
		r.numbers[i] = r.numberInk(i, area)
	}
}

func (r *rulerPage) findRule(standing bool) layouts.Rect {
	far, depth := r.reach.Y+r.reach.Height, r.mark+figureGap
	figure := r.face.measure(strconv.Itoa(int(r.paper.Height)), figureSize, Regular)
	if standing {
		far, depth = r.reach.X+r.reach.Width, depth+figure.right-figure.left
	} else {
		depth += figure.top - figure.bottom
	}
	band := func(base float64) layouts.Rect {
		if standing {
			return layouts.Rect{X: base - depth, Width: depth, Height: r.paper.Height}
		}
		return layouts.Rect{Y: base - depth, Height: depth, Width: r.paper.Width}
	}
	const step = 0.25
	for _, offOutlines := range []bool{true, false} {
		for base := far; base > far/2; base -= step {
			free := grown(band(base), ruleFree)
			if slices.ContainsFunc(r.numbers, func(n layouts.Rect) bool { return overlap(free, grown(n, ruleFree/2)) }) {
				continue
			}
			if !offOutlines { // but the base at least is told from one
				free = grown(band(base+depth), ruleFree/2).Intersect(grown(band(base), ruleFree/2))
			}
			if !r.onOutline(free, standing) {
				return band(base)
			}
		}
	}
	return band(far)
}

// onOutline reports whether an upright (or else a level) edge of a label runs
// through an area.
func (r *rulerPage) onOutline(area layouts.Rect, upright bool) bool {
	return slices.ContainsFunc(r.labels, func(l layouts.Rect) bool {
		if upright {
			return overlap(area, layouts.Rect{X: l.X, Y: l.Y, Height: l.Height}) || overlap(area, layouts.Rect{X: l.X + l.Width, Y: l.Y, Height: l.Height})
		}
		return overlap(area, layouts.Rect{X: l.X, Y: l.Y, Width: l.Width}) || overlap(area, layouts.Rect{X: l.X, Y: l.Y + l.Height, Width: l.Width})
	})
}

func (r *rulerPage) onRule(area layouts.Rect) bool {
	return overlap(area, r.rules[0]) || overlap(area, r.rules[1])
}

// offRules is the largest part of an area that no rule touches.
func (r *rulerPage) offRules(area layouts.Rect) layouts.Rect {
	for _, rule := range r.rules {
		rule = grown(rule, ruleFree)
		if !overlap(area, rule) {
			continue
		}
		var largest layouts.Rect
		for _, part := range besides(area, rule) {
			if !overlap(part, rule) && part.Width*part.Height > largest.Width*largest.Height {
				largest = part
			}
		}
		area = largest
	}
	return area
}

// besides are the parts of an area at the left, at the right, above and below
// another.
func besides(area, other layouts.Rect) [4]layouts.Rect {
	return [4]layouts.Rect{
		area.Inset(0, 0, max(0, area.X+area.Width-other.X), 0), area.Inset(max(0, other.X+other.Width-area.X), 0, 0, 0),
		area.Inset(0, 0, 0, max(0, area.Y+area.Height-other.Y)), area.Inset(0, max(0, other.Y+other.Height-area.Y), 0, 0),
	}
}

// overlap reports whether two areas share more than an edge; one of them may
// be a line.
func overlap(a, b layouts.Rect) bool {
	const slack = 1e-6
	return a.X < b.X+b.Width-slack && b.X < a.X+a.Width-slack && a.Y < b.Y+b.Height-slack && b.Y < a.Y+a.Height-slack
}

func grown(r layouts.Rect, by float64) layouts.Rect { return r.Inset(-by, -by, -by, -by) }

// textIn sets a text whose ink has the size of an area into it.
func (r *rulerPage) textIn(text string, size float64, w Weight, ink layouts.Rect) {
	e := r.face.measure(text, size, w)
	r.text(text, size, w, ink.X-max(0, e.left), ink.Y+e.top)
}

// drawRule draws one rule from edge to edge and returns its marks that have
// figures. Figures that would lie on the other rule or out of reach are left
// out.
func (r *rulerPage) drawRule(standing bool) (figures []int) {
	band, other, length := r.rules[0], r.rules[1], r.paper.Width
	if standing {
		band, other, length = other, band, r.paper.Height
	}
	// point is a point of the rule by its distance along it and from its base.
	point := func(along, in float64) (x, y float64) {
		if standing {
			return band.X + band.Width - in, along
		}
		return along, band.Y + band.Height - in
	}
	stroke := func(from, fromIn, to, toIn float64) {
		x1, y1 := point(from, fromIn)
		x2, y2 := point(to, toIn)
		r.line(x1, y1, x2, y2, r.thickness)
	}
	stroke(0, 0, length, 0)
	for mark := 0; float64(mark) <= length; mark++ {
		along := float64(mark)
		// Sideways, the paper's left edge lies at the bottom.
		if standing && r.place.Turn.Sideways() {
			along = length - along
		}
		x, y := point(along, 0)
		if standing && y >= other.Y && y <= other.Y+other.Height {
			continue // marks of both would make a grid
		}
		switch {
		case mark%10 == 0:
			stroke(along, 0, along, r.mark)
		case mark%5 == 0:
			stroke(along, 0, along, r.mark*0.7)
		default:
			stroke(along, 0, along, r.mark*0.4)
		}
		if mark%10 != 0 {
			continue
		}
		e := r.face.measure(strconv.Itoa(mark), figureSize, Regular)
		ink := layouts.Rect{X: x, Y: y, Width: e.right - e.left, Height: e.top - e.bottom}
		if standing {
			ink.X, ink.Y = x-r.mark-figureGap-ink.Width, y-ink.Height/2
		} else {
			ink.X, ink.Y = x-ink.Width/2, y-r.mark-figureGap-ink.Height
		}
		if ink = r.offOutlines(ink, standing); r.reach.Contains(ink) && !overlap(grown(ink, figureGap), other) && !r.onNumber(ink) {
			r.textIn(strconv.Itoa(mark), figureSize, Regular, ink)
			figures = append(figures, mark)
		}
	}
	return figures
}

func (r *rulerPage) onNumber(area layouts.Rect) bool {
	return slices.ContainsFunc(r.numbers, func(n layouts.Rect) bool { return overlap(area, n) })
}

// offOutlines moves a figure along its rule off the edges of labels that cross
// the rule, by as little as will do.
func (r *rulerPage) offOutlines(ink layouts.Rect, standing bool) layouts.Rect {
	const step = 0.1
	for by := 0.0; by <= 2.5; by += step {
		for _, way := range []float64{by, -by} {
			moved := ink
			if standing {
				moved.Y += way
			} else {
				moved.X += way
			}
			if !r.onOutline(grown(moved, 3*step), !standing) {
				return moved
			}
		}
	}
	return ink
}
