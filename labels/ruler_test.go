package labels

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

// rulerStocks are the catalogue and stock of any size: narrow, short, large.
func rulerStocks(t *testing.T) []layouts.Stock {
	t.Helper()
	stocks := layouts.Catalogue()
	for _, name := range []string{"strip-12x30", "strip-10x30", "strip-40x40", "strip-120x500", "card-60x60", "card-140x90", "card-300x300"} {
		stocks = append(stocks, lookup(t, name))
	}
	return stocks
}

func corrections() []layouts.Correction {
	return []layouts.Correction{{}, {ShiftX: -12.345, ShiftY: -6.789, ScaleX: 0.98765, ScaleY: 1.01234}}
}

// paperOf is the whole paper of a stock.
func paperOf(s layouts.Stock) layouts.Rect {
	return layouts.Rect{Width: s.Paper.Width, Height: s.Paper.Height}
}

// inkOf is what a line blackens.
func inkOf(l Line) layouts.Rect {
	half := l.Thickness / 2
	return layouts.Rect{X: min(l.FromX, l.ToX), Y: min(l.FromY, l.ToY), Width: math.Abs(l.FromX - l.ToX), Height: math.Abs(l.FromY - l.ToY)}.Inset(-half, -half, -half, -half)
}

// On every stock: no text leaves the paper, none lies on another or on any
// line, none is below 6 pt, and the words that have no room are named.
func TestRulerTexts(t *testing.T) {
	face := builtIn(t)
	for n, stock := range rulerStocks(t) {
		for i, correction := range corrections() {
			t.Run(fmt.Sprintf("%s/%d", stock.Name, i), func(t *testing.T) {
				r := DesignRuler(stock, correction, face, 300)
				require.Equal(t, stock.Paper, r.Stock.Face(), "the page is the paper, upright")
				margin := layouts.Unprintable
				if stock.Medium == layouts.Roll {
					margin = layouts.Edge
				}
				reach := paperOf(stock).Inset(margin, margin, margin, margin)
				for i, text := range r.Page.Texts {
					require.GreaterOrEqual(t, text.Size, LeastSize, text.String)
					require.True(t, reach.Contains(text.Ink), "%q lies where no printer reaches: %v", text.String, text.Ink)
					for _, other := range r.Page.Texts[:i] {
						require.False(t, overlap(text.Ink, other.Ink), "%q lies on %q", text.String, other.String)
					}
					for _, line := range r.Page.Lines {
						require.False(t, overlap(text.Ink, inkOf(line)), "%q lies on a line at %v", text.String, line)
					}
				}
				if n < len(layouts.Catalogue()) && correction.None() {
					require.Empty(t, r.LeftOut, "there is room for everything")
				}
			})
		}
	}
}

// What the words say of every stock: the marks from which one measures have
// figures, the example of a scale is right arithmetic, and scale and shift are
// as the options take them.
func TestRulerWords(t *testing.T) {
	face := builtIn(t)
	measure := regexp.MustCompile(`from (\d+) to (\d+)\. Divide (\d+) by (?:each|the) result to get --scale: for ([\d.]+)\x{a0}mm(?: (across|on the short rule) and ([\d.]+)\x{a0}mm (down|on the long one))?, use --scale\x{a0}([\d.,]*\d)\.`)
	shift := regexp.MustCompile(`--shift\x{a0}([-\d.]+mm,[-\d.]+mm)`)
	for _, stock := range rulerStocks(t) {
		t.Run(stock.Name, func(t *testing.T) {
			r := DesignRuler(stock, layouts.Correction{}, face, 300)
			says := wordsOf(r)
			require.Contains(t, says, stock.Name)
			require.NotContains(t, says, "%!", "every format has its arguments")
			require.Contains(t, says, "100\u00a0%, never “fit to page”")
			found := measure.FindStringSubmatch(says)
			require.NotNil(t, found, says)
			number := func(s string) float64 {
				n, err := strconv.ParseFloat(s, 64)
				require.NoError(t, err)
				return n
			}
			from, to, distance, first := number(found[1]), number(found[2]), number(found[3]), number(found[4])
			require.Equal(t, to-from, distance)
			require.Greater(t, distance, 0.0)
			if stock.Paper.Height > 140 && stock.Paper.Width > 140 {
				require.Equal(t, 100.0, distance)
			}
			scaleX, scaleY, err := layouts.ParseScale(found[8])
			require.NoError(t, err)
			switch {
			case found[6] != "":
				require.Equal(t, stock.Turn().Sideways(), found[5] == "on the short rule", "sideways, across is not what it seems")
				require.InDelta(t, distance, first*scaleX, 0.001*distance, "across")
				require.InDelta(t, distance, number(found[6])*scaleY, 0.001*distance, "down")
				require.NotEqual(t, scaleX, scaleY)
			case stock.Paper.Width > stock.Paper.Height:
				require.InDelta(t, distance, first*scaleX, 0.001*distance)
				require.Equal(t, 1.0, scaleY, "what was not measured is not corrected")
			default:
				require.InDelta(t, distance, first*scaleY, 0.001*distance)
				require.Equal(t, 1.0, scaleX, "what was not measured is not corrected")
			}
			for _, mark := range found[1:3] {
				require.True(t, slices.ContainsFunc(r.Page.Texts, func(text Text) bool { return text.String == mark && text.Size == figureSize }), "the mark %s has a figure", mark)
			}
			found = shift.FindStringSubmatch(says)
			require.NotNil(t, found, says)
			x, y, err := layouts.ParseShift(found[1])
			require.NoError(t, err)
			require.Equal(t, [2]float64{-0.5, 1}, [2]float64{x, y}, "against print too far right and too high")
			require.Contains(t, says, "No correction is in use.")
		})
	}
}

// A printer that prints 100 mm as 100.2 mm needs a scale of 0.998.
func TestRulerExample(t *testing.T) {
	r := DesignRuler(lookup(t, "letter-2x10"), layouts.Correction{}, builtIn(t), 300)
	require.Contains(t, wordsOf(r), "Measure both rules from 10 to 110. Divide 100 by each result to get --scale: "+
		"for 100.2\u00a0mm across and 99.9\u00a0mm down, use --scale\u00a00.998,1.001.")
	require.Contains(t, wordsOf(r), "Printer --shift --scale", "lines for the pen")
}

func TestRulerTellsCorrection(t *testing.T) {
	used := layouts.Correction{ShiftX: 0.5, ShiftY: -1, ScaleX: 0.998, ScaleY: 1.001}
	r := DesignRuler(lookup(t, "letter-2x10"), used, builtIn(t), 300)
	require.Contains(t, wordsOf(r), "In use: --shift\u00a00.5mm,-1mm --scale\u00a00.998,1.001.")
	require.NotContains(t, wordsOf(r), "No correction")
	plain := DesignRuler(lookup(t, "letter-2x10"), layouts.Correction{}, builtIn(t), 300)
	require.Equal(t, plain.Page.Lines[:100], r.Page.Lines[:100], "the correction is applied when the page is printed, not twice")
}

// Words that are much longer, as of a stock with a long name, go smaller or are named
// as left out, and never lie on anything.
func TestRulerLongWords(t *testing.T) {
	face := builtIn(t)
	for _, stock := range rulerStocks(t) {
		stock.Name += strings.Repeat(" of a long name in many words", 12)
		r := DesignRuler(stock, layouts.Correction{}, face, 600)
		for i, text := range r.Page.Texts {
			require.True(t, paperOf(stock).Contains(text.Ink), "%s: %q", stock.Name, text.String)
			for _, other := range r.Page.Texts[:i] {
				require.False(t, overlap(text.Ink, other.Ink), "%s: %q lies on %q", stock.Name, text.String, other.String)
			}
		}
		if stock.Turn() == layouts.Upright {
			require.Contains(t, wordsOf(r), "in many words", stock.Name)
		}
	}
}

// wordsOf is all that a ruler says, on the page and as left out, in one line.
func wordsOf(r Ruler) string {
	var says []string
	for _, text := range r.Page.Texts {
		if _, err := strconv.Atoi(text.String); err != nil {
			says = append(says, text.String)
		}
	}
	return strings.Join(append(says, r.LeftOut...), " ")
}
