package layouts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func lookup(t *testing.T, name string) Stock {
	t.Helper()
	s, err := Lookup(name)
	require.NoError(t, err)
	return s
}

// The numbers follow from the definition of each wrap: a loop of π(d+e), for
// 8 mm and 2 mm of ease 31.416 mm. Computed.
func TestWrap(t *testing.T) {
	stem := Stem{Diameter: 8, Clearance: 2}
	require.InDelta(t, 31.416, stem.Loop(), 0.001)

	flag, err := lookup(t, "letter-2x10").Wrap(Flag, stem)
	require.NoError(t, err)
	require.Len(t, flag.Panels, 2)
	// (101.6 − 31.416)/2 = 35.092, less 1.5 mm at either end.
	for _, panel := range flag.Panels {
		require.InDelta(t, 32.092, panel.Width, 0.001)
		require.InDelta(t, 22.4, panel.Height, 0.001)
		require.Equal(t, Flat, panel.Bend)
		require.Equal(t, Upright, panel.Turn)
	}
	require.InDelta(t, 1.5, flag.Panels[0].X, 0.001)
	require.InDelta(t, 35.092+31.416+1.5, flag.Panels[1].X, 0.001)

	loop, err := lookup(t, "strip-25x200").Wrap(Loop, stem)
	require.NoError(t, err)
	require.Len(t, loop.Panels, 1)
	// 200 − 31.416 − 12 of grip = 156.584, less 1.5 mm at either end.
	require.InDelta(t, 153.584, loop.Panels[0].Width, 0.001)
	require.InDelta(t, 31.416+12+1.5, loop.Panels[0].X, 0.001)

	band, err := lookup(t, "a4-2x7").Wrap(Band, stem)
	require.NoError(t, err)
	// The outermost turn, less 1.5 mm at either end; 35.1 mm along the stem is
	// enough for lines that run along it.
	require.InDelta(t, 28.416, band.Panels[0].Width, 0.001)
	require.Equal(t, Clockwise, band.Panels[0].Turn)
	require.Equal(t, BendsAlongHeight, band.Panels[0].Bend)
	require.InDelta(t, 8, band.Panels[0].Diameter, 0.001)

	small, err := lookup(t, "letter-4x20").Wrap(Band, stem)
	require.NoError(t, err)
	require.Equal(t, Upright, small.Panels[0].Turn, "9.7 mm along the stem is too short for a line")
	require.Equal(t, BendsAlongWidth, small.Panels[0].Bend)
}

func TestWrapRefuses(t *testing.T) {
	for _, test := range []struct {
		reason, stock string
		wrap          Wrap
		stem          Stem
		says          string
	}{
		{"nothing is left for the panels", "letter-4x20", Flag, Stem{8, 2}, "letter-4x20 does not fit a stem of 8 mm with 2 mm of clearance as a flag: it leaves 3.5 × 9.7 mm for print and needs 10.5 × 9.5 mm"},
		{"a loop longer than the label", "a4-5x13", Loop, Stem{12, 2}, "it leaves 0 × 18.2 mm for print"},
		{"a band without room to overlap", "a4-5x13", Band, Stem{9, 2}, "it leaves 0 × 18.2 mm for print"},
		{"a stem so thin that one turn holds no lines", "letter-2x10", Band, Stem{1, 2}, "of 1 mm with 2 mm of clearance as a band: it leaves 22.4 × 6.4 mm for print"},
		{"tape of 12 mm cut too short", "strip-12x58", Flag, Stem{8, 2}, "it leaves 10.2 × 9 mm for print and needs 10.4 × 4 mm"},
		{"a small label round a stem", "strip-10x25", Flag, Stem{8, 2}, "it leaves 0 × 7 mm for print and needs 10.4 × 4 mm"},
		{"tape of 6 mm has no room for a symbol", "strip-6x80", LiesFlat, Stem{8, 2}, "strip-6x80 does not have room for print: it leaves 77 × 3 mm for print and needs 15.4 × 4 mm"},
		{"a card is not wrapped", "card-4x6in", Flag, Stem{8, 2}, "card-4x6in is a card; cards do not go round stems"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := lookup(t, test.stock).Wrap(test.wrap, test.stem)
			var fault *Error
			require.ErrorAs(t, err, &fault)
			require.ErrorContains(t, err, test.says)
		})
	}
}

// Properties of every wrap that is not refused.
func TestWrapProperties(t *testing.T) {
	wrapped := 0
	for _, s := range Catalogue() {
		for _, wrap := range Rounds() {
			for diameter := 0.5; diameter < 70; diameter += 0.5 {
				stem := Stem{diameter, Clearance}
				w, err := s.Wrap(wrap, stem)
				if err != nil {
					continue
				}
				wrapped++
				face := Rect{0, 0, s.Face().Width, s.Face().Height}
				require.LessOrEqual(t, stem.Loop(), face.Width, "the label goes round")
				for i, panel := range w.Panels {
					require.True(t, s.Safe().Contains(panel.Rect))
					for _, crease := range w.Creases {
						require.False(t, panel.X < crease && crease < panel.X+panel.Width, "no print on a crease")
						require.GreaterOrEqual(t, math.Min(math.Abs(panel.X-crease), math.Abs(panel.X+panel.Width-crease)), Edge-0.001)
					}
					for j := range i {
						shared := panel.Rect.Intersect(w.Panels[j].Rect)
						require.Zero(t, shared.Width*shared.Height)
					}
				}
			}
		}
	}
	t.Logf("%d wraps of the catalogue and stems of 0.5-69.5 mm hold", wrapped)
	require.Greater(t, wrapped, 1000)
}

func TestLiesFlat(t *testing.T) {
	for _, name := range []string{"strip-10x25", "letter-3x10"} {
		s := lookup(t, name)
		w, err := s.Wrap(LiesFlat, Stem{60, 2})
		require.NoError(t, err, "the stem does not matter")
		require.Empty(t, w.Creases)
		require.Equal(t, []Panel{{Placed: Placed{Rect: s.Safe()}}}, w.Panels, "all of the label")
	}
}

// No listed label is small.
func TestSmall(t *testing.T) {
	for _, s := range Catalogue() {
		require.False(t, s.Small(), s.Name)
	}
	for name, small := range map[string]bool{"strip-12x80": true, "strip-10x25": true, "strip-13x28": true, "strip-13x29": false, "a4-7x27:25x10mm": true} {
		require.Equal(t, small, lookup(t, name).Small(), name)
	}
}

func TestThickest(t *testing.T) {
	checked := 0
	for _, s := range Catalogue() {
		for _, wrap := range Rounds() {
			thickest := s.Thickest(wrap, Clearance)
			if thickest == 0 {
				for diameter := 0.5; diameter < 70; diameter += 0.5 {
					_, err := s.Wrap(wrap, Stem{diameter, Clearance})
					require.Error(t, err, "%s as a %s is said to wrap nothing", s.Name, wrap)
				}
				continue
			}
			checked++
			_, err := s.Wrap(wrap, Stem{thickest, Clearance})
			require.NoError(t, err, "%s as a %s wraps its thickest stem", s.Name, wrap)
			_, err = s.Wrap(wrap, Stem{thickest + 0.2, Clearance})
			require.Error(t, err, "%s as a %s wraps nothing thicker", s.Name, wrap)
		}
	}
	require.Greater(t, checked, 50)
}

func TestPlacedTurns(t *testing.T) {
	// A point 1 mm right of and 2 mm below the corner of an area of 10 × 4 mm.
	for _, test := range []struct {
		turn  Turn
		outer Rect
		x, y  float64
	}{
		{Upright, Rect{100, 50, 10, 4}, 101, 52},
		{Clockwise, Rect{100, 50, 4, 10}, 102, 51},
		{UpsideDown, Rect{100, 50, 10, 4}, 109, 52},
		{CounterClockwise, Rect{100, 50, 4, 10}, 102, 59},
	} {
		p := Placed{test.outer, test.turn}
		require.Equal(t, Size{10, 4}, p.Inner())
		x, y := p.Point(1, 2)
		require.InDelta(t, test.x, x, 1e-9, "turn %d", test.turn)
		require.InDelta(t, test.y, y, 1e-9, "turn %d", test.turn)
		require.Equal(t, test.outer, p.Area(Rect{0, 0, 10, 4}))
	}
}

func TestParseWrap(t *testing.T) {
	for _, wrap := range Wraps() {
		parsed, err := ParseWrap(" " + wrap.String() + " ")
		require.NoError(t, err)
		require.Equal(t, wrap, parsed)
	}
	_, err := ParseWrap("knot")
	require.ErrorContains(t, err, `"knot" is not a label wrap`)
}
