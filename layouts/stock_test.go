package layouts

import (
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
			require.NoError(t, s.Check())
			last := s.Position(s.Count() - 1)
			require.InDelta(t, s.Paper.Width, last.X+last.Width+s.Left, 0.05, "the margins are equal, as of die-cut grids")
			require.InDelta(t, s.Paper.Height, last.Y+last.Height+s.Top, 0.05, "the margins are equal, as of die-cut grids")
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
		reason, says, advises string
		spoil                 func(*Stock)
	}{
		{"two labels of 99.1 mm with a gap of 25 mm are wider than A4", "2 columns of labels 99.1 mm wide take 223.2 mm, 13.2 mm more than the paper is wide",
			"one fits, or a pitch of up to 110.9 mm", func(s *Stock) { s.PitchX, s.Left = 99.1+25, 0 }},
		{"labels that overlap sideways", "labels 99.1 mm wide overlap by 9.1 mm at a pitch of 90 mm", "the pitch is from", func(s *Stock) { s.PitchX = 90 }},
		{"labels that overlap downwards", "labels 38.1 mm high overlap by 8.1 mm at a pitch of 30 mm", "the pitch is from", func(s *Stock) { s.PitchY = 30 }},
		{"a grid that lies too low", "7 rows of labels 38.1 mm high with a margin of 40 mm take 306.7 mm, 9.7 mm more than the paper is high",
			"6 rows fit, or labels up to 36.7 mm high", func(s *Stock) { s.Top = 40 }},
		{"one row too many", "8 rows of labels 38.1 mm high take 304.8 mm, 7.8 mm more than the paper is high",
			"7 rows fit, or labels up to 37.1 mm high", func(s *Stock) { s.Rows, s.Top = 8, -3.9 }},
		{"a label larger than the paper", "take 300 mm, 3 mm more than the paper is high", "the paper has room for a label 297 mm high",
			func(s *Stock) { s.Rows, s.Top, s.Label.Height = 1, 0, 300 }},
		{"no columns", "0 columns of labels are not possible", "give 1 to 100", func(s *Stock) { s.Columns = 0 }},
		{"not a number", "a label NaN mm wide", "", func(s *Stock) { s.Label.Width = math.NaN() }},
		{"a pitch that is none", "overlap by NaN mm", "", func(s *Stock) { s.PitchX = math.NaN() }},
		{"paper as long as a street", "paper 10000 mm high is not possible", "paper measures 6 to 1500 mm", func(s *Stock) { s.Paper.Height = 10_000 }},
		{"a margin off the paper", "a margin of -1 mm", "", func(s *Stock) { s.Left = -1 }},
		{"a label with nothing inside its edges", "a label 3 mm high has no room for print", "1.5 mm at each cut edge stay blank", func(s *Stock) { s.Label.Height = 3 }},
		{"no medium", "is a sheet, a roll or a card", "", func(s *Stock) { s.Medium = 0 }},
	} {
		t.Run(test.reason, func(t *testing.T) {
			s := good
			test.spoil(&s)
			var fault *Error
			require.ErrorAs(t, s.Check(), &fault)
			require.Contains(t, fault.Error(), test.says)
			require.Contains(t, fault.Hint(), test.advises)
		})
	}
}

func TestLookup(t *testing.T) {
	strip, err := Lookup("Strip-30x180")
	require.NoError(t, err)
	require.NoError(t, strip.Check())
	require.Equal(t, Size{180, 30}, strip.Face(), "a roll's label is read lengthwise")
	require.Equal(t, Size{30, 180}, strip.Paper)

	inches, err := Lookup("strip-1x7in")
	require.NoError(t, err)
	require.InDelta(t, 25.4, inches.Label.Width, 1e-9)
	require.InDelta(t, 177.8, inches.Label.Height, 1e-9)

	tape, err := Lookup("strip-12x80")
	require.NoError(t, err)
	require.Equal(t, Size{80, 12}, tape.Face(), "tape of 12 mm cut to 80 mm")

	_, err = Lookup("strip-2.5x1in")
	var wrong *Error
	require.ErrorAs(t, err, &wrong, "a roll wider than long")
	require.Equal(t, "the width of the roll comes first, as in strip-1x2.5in", wrong.Hint())

	for _, test := range []struct{ reason, name string }{
		{"no such name", "letter-9x9"},
		{"nothing", ""},
		{"no numbers", "strip-axb"},
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
	for i := range min(s.Count(), 80) {
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
		s := Stock{"fuzzed", Medium(medium), Size{paperWidth, paperHeight}, columns, rows, Size{width, height}, pitchX, pitchY, left, top, ""}
		if s.Check() == nil {
			checkPositions(t, s)
		}
	})
}

func FuzzLookup(f *testing.F) {
	for _, seed := range []string{"letter-3x10", "strip-25x200", "strip-0.75x8in", "card-4x6in", "strip-1e9x3", "card-999999999x1",
		"a4-4x12:48.5x21.2mm", "letter-3x10:2.625x1@2.75x1in", "card-a4-2x4:90x60@95x65+10x10mm", "roll-60x25-2x1:25x10@30x10mm", "mine=a4-4x12:48,5×21.2mm", "a4-2x2=a4-1x1:9x9mm", "mine=own=a4-1x1:9x9mm"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if s, err := Lookup(name); err == nil {
			require.NoError(t, s.Check())
			checkPositions(t, s)
			again, err := Lookup(s.FullName())
			require.NoError(t, err)
			require.Equal(t, s, again, "what is remembered of a stock gives the same stock")
		}
	})
}
