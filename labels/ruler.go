package labels

import (
	"fmt"

	"graftslip/layouts"
)

// RulerWords are the words on a ruler page. Formats keep the order of their
// arguments. Lengths are millimetres.
type RulerWords struct {
	Language  string    // of these words, BCP 47
	Title     string    // of the file; name of the stock
	Labels    string    // name of the stock, labels to a page, width and height of a label
	Label     string    // the same with one label to a page, without their number
	FullSize  string    // Label or Labels, and how to print
	BothRules string    // first and last mark, distance; an example measured across and down, the scale it gives
	LongRule  string    // the same for the longer rule alone, where the other is too short, with one measured length
	Outlines  string    // an example of a shift to the left and down
	Sideways  string    // BothRules where the words lie sideways on a roll's label: short and long rule
	Turned    string    // Outlines, on such a label
	Scaled    string    // shift and scale in use
	Unscaled  string    // in place of that: no correction is in use
	Places    string    // what the numbers are
	Pen       [3]string // before a line for the pen: printer, shift, scale
}

// EnglishRuler are the words on English ruler pages.
func EnglishRuler() RulerWords {
	return RulerWords{
		Language: "en", Title: "Ruler %s",
		Labels:    "%s: %d labels of %s\u00a0×\u00a0%s\u00a0mm",
		Label:     "%s, %s\u00a0×\u00a0%s\u00a0mm",
		FullSize:  "%s. Print at 100\u00a0%%, never “fit to page”.",
		BothRules: "Measure on both rules from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm across and %s\u00a0mm down, --scale\u00a0%s.",
		LongRule:  "Measure on the long rule from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm, --scale\u00a0%s.",
		Outlines: "Then hold this page and the label stock against the light. The outlines should lie on the edges of the labels. " +
			"If label\u00a01 lies 0.5\u00a0mm too far right and 1\u00a0mm too high, --shift\u00a0%s.",
		Sideways: "Measure on both rules from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm on the short rule " +
			"and %s\u00a0mm on the long one, --scale\u00a0%s.",
		Turned:   "The outline should lie on the edge of the label. If it is 0.5\u00a0mm too high on the short rule and 1\u00a0mm too low on the long one, --shift\u00a0%s.",
		Scaled:   "In use: --shift\u00a0%s --scale\u00a0%s. Add to this shift, multiply this scale.",
		Unscaled: "No correction is in use.",
		Places:   "The large numbers are what --start and --skip count.",
		Pen:      [3]string{"Printer", "--shift", "--scale"},
	}
}

// Ruler is a page to measure a printer with, and to hold against label stock.
type Ruler struct {
	Page    Design
	Stock   layouts.Stock // the whole paper as one place
	LeftOut []string      // words for which the paper has no room
}

// DesignRuler lays out the ruler page of a stock: the outline and number of
// every place, a millimetre rule both ways, and how to use them. The words fit
// themselves between the numbers. Lines are whole printer dots thick. The
// correction is told, not applied: package pdf applies it to all designs.
func DesignRuler(stock layouts.Stock, words RulerWords, correction layouts.Correction, face *Typeface, dpi float64) Ruler {
	var design Design
	page := layouts.Placed{Rect: layouts.Rect{Width: stock.Paper.Width, Height: stock.Paper.Height}, Turn: stock.Turn()}
	r := newRulerPage(stock, canvas{&design, face, page}, dpi)
	r.findRules()
	r.drawOutlines()
	across, down := r.drawRule(false), r.drawRule(true)
	if page.Turn.Sideways() {
		across, down = down, across
	}
	r.drawNumbers()
	left := r.drawNotices(notices(stock, words, correction, across, down), words.Pen)
	return Ruler{Page: design, LeftOut: left, Stock: layouts.Page("ruler-"+stock.Name, stock.Paper)}
}

// notices are the words above the lines for the pen. across and down are the
// marks of the two rules that have figures.
func notices(stock layouts.Stock, words RulerWords, correction layouts.Correction, across, down []int) []notice {
	number := layouts.FormatNumber
	what := fmt.Sprintf(words.Label, stock.Name, number(stock.Label.Width), number(stock.Label.Height))
	if stock.Count() > 1 {
		what = fmt.Sprintf(words.Labels, stock.Name, stock.Count(), number(stock.Label.Width), number(stock.Label.Height))
	}
	all := []notice{{fmt.Sprintf(words.FullSize, what), Bold}}
	// A printer that prints larger across and smaller down, as an example.
	const larger, smaller = 1.002, 0.999
	times := func(distance int, factor float64) string { return number(float64(distance) * factor) }
	scale := func(distance int, timesAcross, timesDown float64) string {
		told := float64(distance)
		return layouts.Correction{ScaleX: layouts.ScaleFor(told, told*timesAcross), ScaleY: layouts.ScaleFor(told, told*timesDown)}.FormatScale()
	}
	// Who reads a page sideways would take the wrong rule for the one across.
	bothRules, outlines := words.BothRules, words.Outlines
	if stock.Turn().Sideways() {
		bothRules, outlines = words.Sideways, words.Turned
	}
	from, to := stretch(across)
	fromDown, toDown := stretch(down)
	length, lengthDown := to-from, toDown-fromDown
	switch {
	case length > 0 && from == fromDown && to == toDown:
		all = append(all, notice{fmt.Sprintf(bothRules, from, to, length, times(length, larger), times(length, smaller), scale(length, larger, smaller)), Regular})
	case length > lengthDown:
		all = append(all, notice{fmt.Sprintf(words.LongRule, from, to, length, times(length, larger), scale(length, larger, 1)), Regular})
	case lengthDown > 0:
		all = append(all, notice{fmt.Sprintf(words.LongRule, fromDown, toDown, lengthDown, times(lengthDown, larger), scale(lengthDown, 1, larger)), Regular})
	}
	all = append(all, notice{fmt.Sprintf(outlines, layouts.Correction{ShiftX: -0.5, ShiftY: 1}.FormatShift()), Regular})
	if correction.None() {
		all = append(all, notice{words.Unscaled, Regular})
	} else {
		all = append(all, notice{fmt.Sprintf(words.Scaled, correction.FormatShift(), correction.FormatScale()), Bold})
	}
	if stock.Count() > 1 {
		all = append(all, notice{words.Places, Regular})
	}
	return all
}

// fullStretch is the distance to measure in mm, where there is room: long
// enough for three decimals of a scale, and easy to divide by.
const fullStretch = 100

// stretch is from which figure to which one measures: fullStretch, or as far
// as there are figures. Both are 0 where there are no two.
func stretch(figures []int) (from, to int) {
	if len(figures) < 2 {
		return 0, 0
	}
	from, to = figures[0], figures[0]
	for _, figure := range figures {
		if figure-from <= fullStretch {
			to = figure
		}
	}
	return from, to
}
