package proof_test

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/proof"
	"graftslip/layouts"
)

// redrawn changes what is drawn on the first page of a file. The file's index
// is wrong behind the change; PDFium makes another.
func redrawn(t *testing.T, file []byte, change func(drawing string) string) []byte {
	t.Helper()
	head := regexp.MustCompile(`<</Filter /FlateDecode /Length (\d+)>>\nstream\n`)
	at := head.FindSubmatchIndex(file)
	require.NotNil(t, at)
	length, err := strconv.Atoi(string(file[at[2]:at[3]]))
	require.NoError(t, err)
	packed, err := zlib.NewReader(bytes.NewReader(file[at[1] : at[1]+length]))
	require.NoError(t, err)
	drawing, err := io.ReadAll(packed)
	require.NoError(t, err)
	changed := change(string(drawing))
	require.NotEqual(t, string(drawing), changed)
	result := append([]byte{}, file[:at[0]]...)
	result = fmt.Appendf(result, "<</Length %d>>\nstream\n%s", len(changed), changed)
	return append(result, file[at[1]+length:]...)
}

// symbolDrawn finds the path of a symbol, which a stem label's drawing ends
// with.
var symbolDrawn = regexp.MustCompile(`(?m)^q [-0-9. ]+ cm [0-9 re]+ re f\* Q$`)

// withoutSlip cuts all that is drawn for one of a page's labels, from 0.
func withoutSlip(drawing string, slip int) string {
	ends := symbolDrawn.FindAllStringIndex(drawing, -1)
	return drawing[:ends[slip-1][1]] + drawing[ends[slip][1]:]
}

// painted draws an area of a label over what is there, in a grey from 0, black,
// to 1, white.
func painted(drawing string, stock layouts.Stock, place int, area layouts.Rect, grey float64) string {
	const point = 72 / 25.4
	on := stock.Position(place).Area(area)
	return drawing + fmt.Sprintf("\n%g g %f %f %f %f re f\n", grey, on.X*point, (stock.Paper.Height-on.Y-on.Height)*point, on.Width*point, on.Height*point)
}

// stockName is the text on a slip of the first batch that stands in one line.
func stockName(slip labels.Design) labels.Text {
	return slip.Texts[slices.IndexFunc(slip.Texts, func(t labels.Text) bool { return t.String == "/ ‘Marlpit Hedge’" })]
}

// TestSpoiledFiles spoils the file itself, which still holds all texts: what a
// person would not see on paper must not pass.
func TestSpoiledFiles(t *testing.T) {
	r := renderer(t)
	const spoiled = 1 // the label, from 0
	for _, test := range []struct {
		reason string
		spoil  func(drawing string, stock layouts.Stock, slip labels.Design) string
		says   string
	}{
		{"a white box over a name", func(d string, stock layouts.Stock, slip labels.Design) string {
			return painted(d, stock, spoiled, stockName(slip).Ink.Inset(-0.3, -0.3, -0.3, -0.3), 1)
		}, `"/ ‘Marlpit Hedge’" is in the file but cannot be seen, or only in part`},
		{"a white box over half of a name", func(d string, stock layouts.Stock, slip labels.Design) string {
			box := stockName(slip).Ink
			box.Width /= 2
			return painted(d, stock, spoiled, box.Inset(-0.3, -0.3, 0, -0.3), 1)
		}, `"/ ‘Marlpit Hedge’" is in the file but cannot be seen, or only in part`},
		{"a black box over a name", func(d string, stock layouts.Stock, slip labels.Design) string {
			return painted(d, stock, spoiled, stockName(slip).Ink, 0)
		}, `"/ ‘Marlpit Hedge’" is in the file but lies under a dark area`},
		{"a black box over a fifth of a name", func(d string, stock layouts.Stock, slip labels.Design) string {
			box := stockName(slip).Ink
			box.X, box.Width = box.X+box.Width/3, box.Width/5
			return painted(d, stock, spoiled, box, 0)
		}, `"/ ‘Marlpit Hedge’" is in the file but lies under a dark area`},
		{"a bar through a name", func(d string, stock layouts.Stock, slip labels.Design) string {
			box := stockName(slip).Ink
			return painted(d, stock, spoiled, box.Inset(0, 0.15*box.Height, 0, 0.15*box.Height), 0)
		}, `"/ ‘Marlpit Hedge’" is in the file but lies under a dark area`},
		{"white ink", func(d string, _ layouts.Stock, _ labels.Design) string {
			at := symbolDrawn.FindAllStringIndex(d, -1)
			return d[:at[0][1]] + "\n1 g" + d[at[0][1]:at[1][0]] + "0 g " + d[at[1][0]:]
		}, "is in the file but cannot be seen"},
		{"grey letters", func(d string, _ layouts.Stock, _ labels.Design) string {
			from := symbolDrawn.FindStringIndex(d)[1]
			to := symbolDrawn.FindAllStringIndex(d, -1)[1][0]
			return d[:from] + "\n0.4 g" + d[from:to] + "0 g " + d[to:]
		}, "is printed in grey"},
		{"a symbol in a fifth of grey", func(d string, _ layouts.Stock, _ labels.Design) string {
			at := symbolDrawn.FindAllStringIndex(d, -1)[1]
			return d[:at[0]] + "0.8 g " + d[at[0]:at[1]] + "\n0 g" + d[at[1]:]
		}, "the symbol is printed in grey"},
		{"a symbol in half grey", func(d string, _ layouts.Stock, _ labels.Design) string {
			at := symbolDrawn.FindAllStringIndex(d, -1)[1]
			return d[:at[0]] + "0.5 g " + d[at[0]:at[1]] + "\n0 g" + d[at[1]:]
		}, "the symbol is printed in grey"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			t.Parallel()
			s := newSession(t, "letter-2x10", damageDPI)
			slips := s.slips(t)
			file := redrawn(t, s.write(t, slips), func(drawing string) string { return test.spoil(drawing, s.options.Stock, slips[spoiled]) })
			report := s.prove(t, r, file)
			require.Len(t, report.Faults, 1)
			fault := report.Faults[0]
			require.ErrorContains(t, &fault, test.says)
			require.Equal(t, spoiled+1, fault.Position)
			require.Equal(t, proof.Wrong, fault.Kind)
			require.Equal(t, 1, report.Wrong)
			require.Equal(t, 3, report.Read)
		})
	}
}

// TestFineInk: letters and symbols are black enough on all that may be printed,
// texts that have hardly any ink too.
func TestFineInk(t *testing.T) {
	r := renderer(t)
	for _, note := range []string{"..................... ................... .................. check", "________________ – – – – – – – –", "'i' l", "________________________ ________________________ ________________________ ________________________"} {
		s := newSession(t, "card-a6", 203)
		s.batches[0].Note, s.batches[1].Note = note, note
		report := s.prove(t, r, s.write(t, s.slips(t)))
		for _, fault := range report.Faults {
			require.NoError(t, &fault, note)
		}
		require.Equal(t, 4, report.Read)
	}
}

// TestSlipsMissing takes slips out of a file, which tells how many it had.
func TestSlipsMissing(t *testing.T) {
	r := renderer(t)
	for _, test := range []struct {
		reason  string
		stock   string
		spoil   func(t *testing.T, file []byte) []byte
		missing int
		says    string
	}{
		{"nothing", "letter-2x10", func(_ *testing.T, file []byte) []byte { return file }, 0, ""},
		{"a hole", "letter-2x10", func(t *testing.T, file []byte) []byte {
			return redrawn(t, file, func(drawing string) string { return withoutSlip(drawing, 1) })
		}, 1, "labels or cards that the file was written with: 4; found on its pages: 3"},
		{"only the first is left", "letter-2x10", func(t *testing.T, file []byte) []byte {
			return redrawn(t, file, func(drawing string) string {
				return withoutSlip(withoutSlip(withoutSlip(drawing, 1), 1), 1)
			})
		}, 3, "labels or cards that the file was written with: 4; found on its pages: 1"},
		{"a lost page", "card-4x6in", func(t *testing.T, file []byte) []byte {
			pages := regexp.MustCompile(`/Kids \[3 0 R 5 0 R (.*)\]\n/Count 4`)
			require.Regexp(t, pages, string(file))
			return pages.ReplaceAll(file, []byte("/Kids [3 0 R $1]\n/Count 3"))
		}, 1, "labels or cards that the file was written with: 4; found on its pages: 3"},
		{"a page twice", "card-4x6in", func(t *testing.T, file []byte) []byte {
			pages := regexp.MustCompile(`/Kids \[3 0 R (.*)\]\n/Count 4`)
			require.Regexp(t, pages, string(file))
			return pages.ReplaceAll(file, []byte("/Kids [3 0 R 3 0 R $1]\n/Count 5"))
		}, -1, "labels or cards that the file was written with: 4; found on its pages: 5"},
	} {
		s := newSession(t, test.stock, 203)
		report := s.prove(t, r, test.spoil(t, s.write(t, s.slips(t))))
		require.Equal(t, max(0, test.missing), report.Missing, test.reason)
		require.Equal(t, report.Symbols, report.Read+report.Wrong+report.Missing, test.reason)
		if test.says == "" {
			require.Empty(t, report.Faults, test.reason)
			continue
		}
		last := report.Faults[len(report.Faults)-1]
		require.EqualError(t, &last, test.says, test.reason)
		require.Zero(t, last.Page)
		require.Equal(t, test.missing > 0, last.Kind == proof.Missing)
		require.NotEmpty(t, last.Hint())
		if test.missing < 0 {
			require.ErrorContains(t, &report.Faults[0], "page 2, position 1, 26329-001-9001-", test.reason)
			require.ErrorContains(t, &report.Faults[0], "the same code is on page 1, position 1", test.reason)
		}
	}
}

// TestSpareLabels: they carry the code of the batch, as many as there are, and
// say so.
func TestSpareLabels(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "letter-2x10", 203)
	design, err := labels.DesignStem(s.batches[0], s.options)
	require.NoError(t, err)
	spare, err := design.Spare()
	require.NoError(t, err)
	report := s.prove(t, r, s.write(t, []labels.Design{spare, spare, spare}))
	require.Empty(t, report.Faults)
	require.Equal(t, 3, report.Read)

	reworded(t, &spare, labels.SpareWord, "1 of 40")
	report = s.prove(t, r, s.write(t, []labels.Design{spare}))
	require.Len(t, report.Faults, 1)
	require.ErrorContains(t, &report.Faults[0], `the mark of this code is "spare", but that is not printed`)
}

// TestFinePrinter: pages with too many dots for one picture are drawn at a half.
func TestFinePrinter(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "letter-2x10", 1200)
	slips := s.slips(t)
	report := s.prove(t, r, s.write(t, slips))
	require.Empty(t, report.Faults)
	require.Equal(t, len(slips), report.Read)
	require.InDelta(t, 25.4/600, report.Pixel, 1e-9)
	require.InDelta(t, slips[0].Symbols[0].Module, report.SmallestModule, symbol.Dot(1200))
}

// TestCorrectionAdvice: where a correction is in use it is to blame for ink
// beside its place, and printing again would not help.
func TestCorrectionAdvice(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "letter-2x10", 203)
	slips := s.slips(t)
	text := &slips[3].Texts[0]
	text.X -= text.Ink.X - 1
	for _, test := range []struct {
		correction layouts.Correction
		hint       string
	}{
		{layouts.Correction{}, "do not use this file: print it again"},
		{layouts.Correction{ShiftX: 1}, "shift or scale is too large: print it again with a smaller --shift or --scale, or with neither"},
	} {
		s.document.Correction = test.correction
		report := s.prove(t, r, s.write(t, slips))
		require.Len(t, report.Faults, 1)
		require.Equal(t, proof.Edge, report.Faults[0].Kind)
		require.Equal(t, test.hint, report.Faults[0].Hint())
	}
}
