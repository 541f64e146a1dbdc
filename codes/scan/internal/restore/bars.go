package restore

import (
	"fmt"
	"math"
	"strings"
)

const (
	barsLeastFit    = 0.75 // of the variance of a symbol that its bars explain
	barsLeastWorst  = 0.45 // of the same of a character
	barsMostCost    = 0.08 // of taking the second best character
	barsLeastSeen   = 5    // modules of a character, of 11: with less it is lost
	barsLeastSure   = 0.85 // as barsLeastWorst, of the others where one is lost
	barsLeastLead   = 0.25 // of each of them on its second best
	barsCertain     = 0.8  // as barsLeastFit, of a symbol that need not be read twice
	barsCertainLead = 0.15 // as barsLeastLead, of the same
)

// The modules of a Code 128 of digits: start, stop, and each character between
// (ISO/IEC 15417).
const (
	barsCharacter = 11
	barsStop      = 13
	startOfPairs  = 105
	stopOfBars    = 106
)

// BarsWidth is how many modules wide a Code 128 of so many digits is, in pairs:
// start, a character for two digits, check, stop.
func BarsWidth(digits int) int { return barsCharacter*(2+digits/2) + barsStop }

// Bar is a module that is the same in every Code 128 of digits of one length.
type Bar struct {
	At   int
	Dark bool
}

// FixedBars are the start and the stop of a Code 128 so many modules wide.
func FixedBars(width int) []Bar {
	var fixed []Bar
	start, stop := barsOf(startOfPairs), barsOf(stopOfBars)
	for i, dark := range start {
		fixed = append(fixed, Bar{i, dark})
	}
	for i, dark := range stop {
		fixed = append(fixed, Bar{width - len(stop) + i, dark})
	}
	return fixed
}

// Bars reads Code 128 symbols of pairs of digits. It costs a little to make and
// may be used by many goroutines at once.
type Bars struct {
	blurs      []float64
	characters [][106][]float64 // by blur and value: the light of each module
	stop       [][]float64
}

// NewBars makes a reader.
func NewBars() *Bars {
	b := &Bars{blurs: []float64{0, 0.06, 0.12, 0.18, 0.24, 0.3}}
	for _, blur := range b.blurs {
		var all [106][]float64
		for value := range all {
			all[value] = blurred(barsOf(value), blur, true)
		}
		b.characters = append(b.characters, all)
		b.stop = append(b.stop, blurred(barsOf(stopOfBars), blur, false))
	}
	return b
}

// Read reads a symbol off the light of its modules, at any scale. Each
// character is the one whose bars, blurred as start and stop are, come nearest
// to what is seen; the check character proves them. One of them all, but no
// more, may be the second best; or one may be lost, and is worked out from the
// check character. sure is the weight of each module, 0 for what was not seen.
// "" when nothing fits well enough. certain: no character was made up, and all
// fit very well.
func (b *Bars) Read(light, sure []float64) (text string, certain bool) {
	count := (len(light) - barsStop) / barsCharacter
	if count < 3 || len(light) != count*barsCharacter+barsStop || len(sure) != len(light) {
		return "", false
	}
	best := barsFit{fit: barsLeastFit}
	for blur := range b.blurs {
		if f, ok := b.fit(light, sure, count, blur); ok && f.fit > best.fit {
			best = f
		}
	}
	if best.choices == nil {
		return "", false
	}
	values, lost := make([]int, len(best.choices)), -1
	for i, c := range best.choices {
		values[i] = c.value
		if c.fit >= barsLeastWorst {
			continue
		}
		if lost >= 0 {
			return "", false
		}
		lost = i
	}
	if lost >= 0 {
		if best.found(values, lost) {
			return digitsOf(values), false
		}
		return "", false
	}
	if checked(values) {
		return digitsOf(values), best.fit >= barsCertain && best.lead() >= barsCertainLead
	}
	if best.exchanged(values) {
		return digitsOf(values), false
	}
	return "", false
}

// lead is that of the character with the least lead on its second best.
func (f barsFit) lead() float64 {
	least := math.Inf(1)
	for _, c := range f.choices {
		least = min(least, c.fit-c.other)
	}
	return least
}

// found works out the one value that is lost. The others must be beyond doubt.
func (f barsFit) found(values []int, lost int) bool {
	for i, c := range f.choices {
		if i != lost && (c.fit < barsLeastSure || c.fit-c.other < barsLeastLead) {
			return false
		}
	}
	if lost == len(values)-1 {
		return true // the check character itself: the code's own check digits remain
	}
	for value := range 100 {
		if values[lost] = value; checked(values) {
			return true
		}
	}
	return false
}

// exchanged takes the second best for the one value where that costs least.
func (f barsFit) exchanged(values []int) bool {
	exchanged, cost := -1, barsMostCost
	for i, c := range f.choices {
		values[i] = c.second
		if checked(values) && c.fit-c.other < cost {
			exchanged, cost = i, c.fit-c.other
		}
		values[i] = c.value
	}
	if exchanged >= 0 {
		values[exchanged] = f.choices[exchanged].second
	}
	return exchanged >= 0
}

// barsChoice is the best and the second best value of a character.
type barsChoice struct {
	value, second int
	fit, other    float64
}

// barsFit is what a symbol is read as, with one blur.
type barsFit struct {
	fit     float64
	choices []barsChoice
}

// fit reads the characters of a symbol as one of the blurs has it.
func (b *Bars) fit(light, sure []float64, count, blur int) (barsFit, bool) {
	// Dark and light as start and stop show them.
	var sum, squares, product, weight, seen float64
	level := func(at int, expected float64) {
		w := sure[at]
		weight += w
		sum += w * expected
		squares += w * expected * expected
		product += w * expected * light[at]
		seen += w * light[at]
	}
	end := len(light) - barsStop
	for i, v := range b.characters[blur][startOfPairs] {
		level(i, v)
	}
	for i, v := range b.stop[blur] {
		level(end+i, v)
	}
	spread := squares*weight - sum*sum
	if weight < 12 || spread <= 0 {
		return barsFit{}, false
	}
	gain := (product*weight - sum*seen) / spread
	dark := (seen - gain*sum) / weight
	if gain <= 0 {
		return barsFit{}, false
	}
	var f barsFit
	var missed, all float64
	for i := 1; i < count; i++ {
		at := i * barsCharacter
		values := 100 // pairs
		if i == count-1 {
			values = 103 // check
		}
		c := barsChoice{-1, -1, math.Inf(-1), math.Inf(-1)}
		var seen float64
		for _, w := range sure[at : at+barsCharacter] {
			seen += w
		}
		if seen < barsLeastSeen {
			f.choices = append(f.choices, barsChoice{fit: math.Inf(-1)})
			continue
		}
		least := math.Inf(1)
		for value := range values {
			wrong := 0.0
			for k, v := range b.characters[blur][value] {
				off := (light[at+k]-dark)/gain - v
				wrong += sure[at+k] * off * off
			}
			// A quarter is the variance of dark and light in equal parts.
			fit := 1 - wrong/seen/0.25
			if fit > c.fit {
				c.second, c.other = c.value, c.fit
				c.value, c.fit = value, fit
			} else if fit > c.other {
				c.second, c.other = value, fit
			}
			least = min(least, wrong)
		}
		missed += least
		all += seen * 0.25
		f.choices = append(f.choices, c)
	}
	f.fit = 1 - missed/all
	return f, true
}

// blurred is the light of bars, each mixed with its neighbours. A character
// begins with a bar and ends with a space, so what stands beside is known: a
// space before, and a bar behind or, behind the stop, light.
func blurred(bars []bool, blur float64, barBehind bool) []float64 {
	light := make([]float64, len(bars))
	of := func(i int) float64 {
		if i == len(bars) && barBehind || i >= 0 && i < len(bars) && bars[i] {
			return 0
		}
		return 1
	}
	for i := range bars {
		light[i] = (1-2*blur)*of(i) + blur*(of(i-1)+of(i+1))
	}
	return light
}

// checked reports whether the last of the values is the check of the others.
func checked(values []int) bool {
	sum := startOfPairs
	for i, v := range values[:len(values)-1] {
		sum += (i + 1) * v
	}
	return sum%103 == values[len(values)-1]
}

func digitsOf(values []int) string {
	var text strings.Builder
	for _, v := range values[:len(values)-1] {
		fmt.Fprintf(&text, "%02d", v)
	}
	return text.String()
}

func barsOf(value int) []bool {
	var bars []bool
	for i, width := range barWidths(value) {
		for range width - '0' {
			bars = append(bars, i%2 == 0)
		}
	}
	return bars
}

// barWidths are the widths of bars and spaces in turn, in modules (ISO/IEC
// 15417, table 1; memory, and held against an encoder by TestBarWidths).
func barWidths(value int) string {
	const widths = "" +
		"212222222122222221121223121322131222122213122312132212221213221312231212" +
		"112232122132122231113222123122123221223211221132221231213212223112312131" +
		"311222321122321221312212322112322211212123212321232121111323131123131321" +
		"112313132113132311211313231113231311112133112331132131113123113321133121" +
		"313121211331231131213113213311213131311123311321331121312113312311332111" +
		"314111221411431111111224111422121124121421141122141221112214112412122114" +
		"122411142112142211241211221114413111241112134111111242121142121241114212" +
		"124112124211411212421112421211212141214121412121111143111341131141114113" +
		"114311411113411311113141114131311141411131211412211214211232"
	if value == stopOfBars {
		return "2331112"
	}
	return widths[6*value : 6*value+6]
}
