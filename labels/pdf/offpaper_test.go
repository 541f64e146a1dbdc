package pdf_test

import (
	"bytes"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
)

// written writes slips with a setup, and is not to fail for another reason than
// the one that it returns.
func written(t *testing.T, setup labels.Setup, slips []labels.Design) ([]byte, error) {
	t.Helper()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	var content bytes.Buffer
	_, err = pdf.Write(&content, pdf.Document{Language: "en", Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Face: face, Setup: setup}, each(slips))
	if err != nil {
		require.Zero(t, content.Len(), "nothing is written of a file that is refused")
	}
	return content.Bytes(), err
}

// Print that a correction would bring over the edge of the paper is refused,
// by as much as it leaves, and not before.
func TestOffPaper(t *testing.T) {
	flag := func(stock string) matrixCase {
		return matrixCase{stock: lookup(t, stock), wrap: layouts.Flag, stem: layouts.Stem{Diameter: 6, Clearance: layouts.Clearance}, dpi: 300}
	}
	for _, test := range []struct {
		reason     string
		m          matrixCase
		correction layouts.Correction
		side       string // "" when nothing leaves the paper
		by, within float64
	}{
		{"a shift within the margin of the labels", flag("letter-2x10"), layouts.Correction{ShiftX: -4.7, ShiftY: -12}, "", 0, 0},
		// The ink of a label's text begins at 4.7625 + 1.5 mm.
		{"a shift to the left by more than margin and edge", flag("letter-2x10"), layouts.Correction{ShiftX: -7.2625}, "left", 1, 0.02},
		{"a shift upwards by more", flag("letter-2x10"), layouts.Correction{ShiftY: -20}, "upper", 20 - 12.7 - 1.5, 0.6},
		{"a strip that is printed to the edge", flag("strip-25x200"), layouts.Correction{ShiftX: 5}, "right", 3.5, 0.6},
		{"a shift downwards, of labels whose last line stands at their foot", flag("letter-2x10"), layouts.Correction{ShiftY: 20}, "lower", 20 - 12.7 - 1.5, 0.8},
		{"a scale that brings the table of a card over the edge", matrixCase{stock: lookup(t, "card-a6"), dpi: 300}, layouts.Correction{ScaleX: 1.03, ScaleY: 1.03, ShiftX: 5}, "right", 105*1.03 + 5 - 105 - 6*1.03, 0.2},
		{"a scale alone that does not", matrixCase{stock: lookup(t, "card-a6"), dpi: 300}, layouts.Correction{ScaleX: 1.03, ScaleY: 1.03}, "", 0, 0},
	} {
		t.Run(test.reason, func(t *testing.T) {
			p := test.m.print(t, false)
			_, err := written(t, labels.Setup{Stock: p.stock, DPI: 300, Correction: test.correction}, p.slips)
			if test.side == "" {
				require.NoError(t, err)
				return
			}
			var off *pdf.OffPaperError
			require.ErrorAs(t, err, &off)
			require.Equal(t, test.side, off.Side)
			require.InDelta(t, test.by, off.By, test.within)
			require.Equal(t, "make --shift or --scale smaller, or leave them out", off.Hint())
		})
	}
}

// Each kind of print counts, to a hundredth of a millimetre.
func TestOffPaperExactly(t *testing.T) {
	p := matrixCase{stock: lookup(t, "letter-2x10"), wrap: layouts.Flag, stem: layouts.Stem{Diameter: 6, Clearance: layouts.Clearance}, dpi: 300}.print(t, false)
	for _, test := range []struct {
		reason string
		change func(*labels.Design)
	}{
		{"a text", func(s *labels.Design) {
			text := &s.Texts[0]
			text.X, text.Ink.X = text.X-text.Ink.X+1, 1
		}},
		{"a line with its thickness and square end", func(s *labels.Design) {
			s.Lines = append(s.Lines, labels.Line{FromX: 1.25, FromY: 5, ToX: 1.25, ToY: 9, Thickness: 0.5})
		}},
		{"the modules of a symbol, not its quiet zone", func(s *labels.Design) {
			quiet, _ := s.Symbols[0].Quiet()
			s.Symbols[0].Place.X = 1 - float64(quiet)*s.Symbols[0].Module
		}},
	} {
		slip := p.slips[0]
		slip.Texts, slip.Symbols, slip.Lines = append([]labels.Text{}, slip.Texts...), append([]labels.Symbol{}, slip.Symbols...), append([]labels.Line{}, slip.Lines...)
		test.change(&slip)
		setup := labels.Setup{Stock: p.stock, DPI: 300}
		dot := 25.4 / 300
		// The ink begins 1 mm inside the label; a symbol is moved by half a dot.
		setup.Correction.ShiftX = -(p.stock.Left + 1 - 0.001 - dot/2)
		_, err := written(t, setup, []labels.Design{slip})
		require.NoError(t, err, test.reason)
		setup.Correction.ShiftX = -(p.stock.Left + 1 + 0.011 + dot/2)
		_, err = written(t, setup, []labels.Design{slip})
		var off *pdf.OffPaperError
		require.ErrorAs(t, err, &off, test.reason)
		require.InDelta(t, 0.011+dot/2, off.By, 0.001+dot/2, test.reason)
		setup.Correction.ShiftX = -20
		_, err = written(t, setup, []labels.Design{slip})
		require.ErrorAs(t, err, &off, test.reason)
		require.EqualError(t, err, "shift and scale bring print over the left edge of the paper of letter-2x10, by "+strconv.FormatFloat(off.By, 'f', 2, 64)+" mm")
	}
}

// A page to measure with has its rules at the edges of the paper whatever the
// correction.
func TestRulersLeaveThePaper(t *testing.T) {
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	correction := layouts.Correction{ShiftX: -3, ShiftY: 4}
	r := labels.DesignRuler(lookup(t, "letter-3x10"), correction, face, 300)
	_, err = written(t, labels.Setup{Stock: r.Stock, DPI: 300, Correction: correction}, []labels.Design{r.Page})
	require.NoError(t, err)
}

// A file tells how many slips it has, whatever it was told to tell.
func TestSlipsAreCounted(t *testing.T) {
	p := matrixCase{stock: lookup(t, "letter-2x10"), wrap: layouts.Flag, stem: layouts.Stem{Diameter: 6, Clearance: layouts.Clearance}, dpi: 300}.print(t, false)
	for _, test := range []struct {
		reason string
		slips  []labels.Design
		want   int
	}{
		{"one", p.slips[:1], 1},
		{"more than a page holds", append(append([]labels.Design{}, make([]labels.Design, 20)...), p.slips...), len(p.slips)},
		{"an empty one between two", []labels.Design{p.slips[0], {}, p.slips[1]}, 2},
	} {
		content, err := written(t, labels.Setup{Stock: p.stock, DPI: 300, Printed: 99}, test.slips)
		require.NoError(t, err, test.reason)
		told := regexp.MustCompile(`/Keywords \(([^)]*)\)`).FindSubmatch(content)
		require.NotNil(t, told, test.reason)
		setup, err := labels.ParseSetup(string(told[1]))
		require.NoError(t, err, test.reason)
		require.Equal(t, test.want, setup.Printed, test.reason)
	}
}
