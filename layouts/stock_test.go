package layouts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCatalogue(t *testing.T) {
	catalogue := Catalogue()
	require.GreaterOrEqual(t, len(catalogue), 24)
	seen := map[string]bool{}
	mediums := map[Medium]int{}
	for _, s := range catalogue {
		t.Run(s.Name, func(t *testing.T) {
			require.NoError(t, checkStock(s))
			require.False(t, seen[s.Name], "the name is taken")
			seen[s.Name] = true
			mediums[s.Medium]++
			found, err := Lookup(s.Name)
			require.NoError(t, err)
			require.Equal(t, s, found)
		})
	}
	require.Len(t, mediums, 3, "sheets, rolls and cards")
}

// The margins of the die-cut grids are computed from label, pitch and paper; these
// are the usual ones. Common practice, no source.
func TestCatalogueMargins(t *testing.T) {
	for _, test := range []struct {
		name      string
		left, top float64
	}{
		{"letter-3x10", 4.763, 12.7}, {"letter-2x10", 4.763, 12.7}, {"letter-2x5", 4.763, 12.7}, {"letter-2x3", 3.77, 12.7}, {"letter-4x20", 7.62, 12.7},
		{"a4-3x7", 7.21, 15.15}, {"a4-3x8", 0, 0.5}, {"a4-2x7", 4.65, 15.15}, {"a4-5x13", 4.67, 10.7}, {"a4-4x10", 0, 0},
	} {
		s, err := Lookup(test.name)
		require.NoError(t, err)
		require.InDelta(t, test.left, s.Left, 0.001, test.name)
		require.InDelta(t, test.top, s.Top, 0.001, test.name)
	}
}

func TestCheckRefuses(t *testing.T) {
	good, err := Lookup("a4-2x7")
	require.NoError(t, err)
	for _, test := range []struct {
		reason, says string
		spoil        func(*Stock)
	}{
		{"two labels of 99.1 mm with a gap of 25 mm are wider than A4", "wide, the paper is 210 mm", func(s *Stock) { s.PitchX = 99.1 + 25 }},
		{"labels that overlap sideways", "overlap at a pitch of 90 mm", func(s *Stock) { s.PitchX = 90 }},
		{"labels that overlap downwards", "overlap at a pitch of 30 mm", func(s *Stock) { s.PitchY = 30 }},
		{"a margin that leaves the paper half empty", "high, the paper is 297 mm", func(s *Stock) { s.Top = 1 }},
		{"one row too many", "high, the paper is 297 mm", func(s *Stock) { s.Rows = 8 }},
		{"no columns", "0 columns × 7 rows is not a grid", func(s *Stock) { s.Columns = 0 }},
		{"a negative margin", "-1 mm is not a possible length", func(s *Stock) { s.Left = -1 }},
		{"not a number", "NaN mm is not a possible length", func(s *Stock) { s.Label.Width = math.NaN() }},
		{"a label with nothing inside its edges", "has no room for print", func(s *Stock) { s.Label.Height = 3 }},
		{"no medium", "neither sheet, roll nor card", func(s *Stock) { s.Medium = 0 }},
	} {
		t.Run(test.reason, func(t *testing.T) {
			s := good
			test.spoil(&s)
			require.ErrorContains(t, checkStock(s), test.says)
		})
	}
}

func TestLookup(t *testing.T) {
	strip, err := Lookup("Strip-30x180")
	require.NoError(t, err)
	require.NoError(t, checkStock(strip))
	require.Equal(t, Size{180, 30}, strip.Face(), "a roll's label is read lengthwise")
	require.Equal(t, Size{30, 180}, strip.Paper)

	inches, err := Lookup("strip-1x7in")
	require.NoError(t, err)
	require.InDelta(t, 25.4, inches.Label.Width, 1e-9)
	require.InDelta(t, 177.8, inches.Label.Height, 1e-9)

	for _, test := range []struct{ reason, name string }{
		{"no such name", "letter-9x9"},
		{"nothing", ""},
		{"no numbers", "strip-axb"},
		{"a roll wider than long", "strip-60x40"},
		{"a roll too long for a printer", "strip-25x900"},
		{"a card too small to write on", "card-20x30"},
		{"a number with two points", "card-1.2.3x100"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := Lookup(test.name)
			require.Error(t, err)
		})
	}
}

// The properties of every stock that passes its check: positions lie on the
// paper and apart from each other, and the safe area lies in the label and in
// what a printer reaches.
func checkPositions(t *testing.T, s Stock) {
	t.Helper()
	paper := Rect{0, 0, s.Paper.Width, s.Paper.Height}
	reach := paper
	if s.Medium != Roll {
		reach = paper.Inset(Unprintable-0.001, Unprintable-0.001, Unprintable-0.001, Unprintable-0.001)
	}
	const slack = 0.06 // what Check allows in all
	paper = paper.Inset(-slack, -slack, -slack, -slack)
	reach = reach.Inset(-slack, -slack, -slack, -slack)
	face := Rect{0, 0, s.Face().Width, s.Face().Height}
	require.True(t, face.Contains(s.Safe()))
	for i := range min(s.Count(), 400) {
		position := s.Position(i)
		require.True(t, paper.Contains(position.Rect), "label %d lies on the paper", i)
		if safe := s.Safe(); safe.Width > 0 && safe.Height > 0 {
			require.True(t, reach.Contains(position.Area(safe)), "label %d can be printed", i)
		}
		for j := range i {
			shared := position.Rect.Intersect(s.Position(j).Rect)
			require.False(t, shared.Width > 0.002 && shared.Height > 0.002, "labels %d and %d lie apart", j, i)
		}
	}
	require.Equal(t, s.Position(0), s.Position(s.Count()), "the next sheet begins at the first place")
	require.Equal(t, 1, s.Sheets(s.Count()))
	require.Equal(t, 2, s.Sheets(s.Count()+1))
	require.Equal(t, 0, s.Sheets(0))
}

func TestPositions(t *testing.T) {
	for _, s := range Catalogue() {
		t.Run(s.Name, func(t *testing.T) { checkPositions(t, s) })
	}
}

func TestEdgesInReach(t *testing.T) {
	for _, test := range []struct {
		reason, name string
		want         bool
	}{
		{"margins of 4.76 mm and 1.5 mm of edge are more than 6 mm", "letter-3x10", true},
		{"a margin of 3.77 mm is too little", "letter-2x3", false},
		{"no margin at all", "a4-4x10", false},
		{"a roll is printed to its edge", "strip-25x200", true},
	} {
		s, err := Lookup(test.name)
		require.NoError(t, err)
		require.Equal(t, test.want, s.EdgesInReach(), test.reason)
	}
}

func FuzzStock(f *testing.F) {
	for _, s := range Catalogue()[:20] {
		f.Add(uint8(s.Medium), s.Paper.Width, s.Paper.Height, s.Columns, s.Rows, s.Label.Width, s.Label.Height, s.PitchX, s.PitchY, s.Left, s.Top)
	}
	f.Add(uint8(1), 210.0, 297.0, 2, 7, 99.1, 38.1, 124.1, 38.1, 0.0, 15.15)
	f.Add(uint8(1), math.Inf(1), 297.0, 1, 1, math.Inf(1), 38.1, 1.0, 1.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, medium uint8, paperWidth, paperHeight float64, columns, rows int, width, height, pitchX, pitchY, left, top float64) {
		s := Stock{"fuzzed", Medium(medium), Size{paperWidth, paperHeight}, columns, rows, Size{width, height}, pitchX, pitchY, left, top}
		if checkStock(s) == nil {
			checkPositions(t, s)
		}
	})
}

func FuzzLookup(f *testing.F) {
	for _, seed := range []string{"letter-3x10", "strip-25x200", "strip-0.75x8in", "card-4x6in", "strip-1e9x3", "card-999999999x1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if s, err := Lookup(name); err == nil {
			require.NoError(t, checkStock(s))
			checkPositions(t, s)
		}
	})
}

// checkStock verifies that the labels neither overlap nor leave the paper and that
// margins, labels and gaps add up to the paper to a twentieth of a millimetre.
func checkStock(s Stock) error {
	fail := func(format string, values ...any) error {
		return fmt.Errorf(format, values...)
	}
	for _, length := range []float64{s.Paper.Width, s.Paper.Height, s.Label.Width, s.Label.Height, s.PitchX, s.PitchY, s.Left, s.Top} {
		if math.IsNaN(length) || length < 0 || length > 10_000 {
			return fail("%v mm is not a possible length", length)
		}
	}
	if s.Medium < Sheet || s.Medium > Card {
		return fail("it is neither sheet, roll nor card")
	}
	if s.Columns < 1 || s.Rows < 1 || s.Columns > 1000 || s.Rows > 1000 {
		return fail("%d columns × %d rows is not a grid", s.Columns, s.Rows)
	}
	for _, side := range []struct {
		name                        string
		paper, label, pitch, margin float64
		count                       int
	}{
		{"wide", s.Paper.Width, s.Label.Width, s.PitchX, s.Left, s.Columns},
		{"high", s.Paper.Height, s.Label.Height, s.PitchY, s.Top, s.Rows},
	} {
		const slack = 0.05
		filled := 2*side.margin + side.label + float64(side.count-1)*side.pitch
		switch {
		case side.label <= 2*Edge:
			return fail("a label %s mm %s has no room for print", FormatNumber(side.label), side.name)
		case side.count > 1 && side.pitch < side.label-0.001:
			return fail("labels %s mm %s overlap at a pitch of %s mm", FormatNumber(side.label), side.name, FormatNumber(side.pitch))
		case math.Abs(filled-side.paper) > slack:
			return fail("labels, gaps and margins are %s mm %s, the paper is %s mm", FormatNumber(filled), side.name, FormatNumber(side.paper))
		}
	}
	return nil
}
