package symbol

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDot(t *testing.T) {
	const source = "a dot is 25.4 mm divided by the resolution (seen, computed)"
	for _, test := range []struct {
		dpi  float64
		dots int
		mm   float64
	}{
		{203.2, 1, 0.125},
		{203, 1, 0.125}, // what printers of 203.2 are called
		{300, 1, 0.08467},
		{600, 1, 0.04233},
		{300, 3, 0.254},
		{300, 4, 0.339},
		{300, 5, 0.423},
	} {
		digits := 1e5
		if test.dots > 1 {
			digits = 1e3
		}
		got := math.Round(float64(test.dots)*Dot(test.dpi)*digits) / digits
		require.Equal(t, test.mm, got, "%g dpi, %d dots: %s", test.dpi, test.dots, source)
	}
	require.Equal(t, 0.25, 2*Dot(203), "exactly, so that 0.25 mm is two dots")
}

// 30°: published and computed widths.
func TestSpan(t *testing.T) {
	const source = "π/6 of the diameter, from GS1 General Specifications (secondary, computed)"
	for _, test := range []struct{ diameter, span float64 }{
		{6, 3.14}, {8, 4.19}, {10, 5.24}, {12, 6.28},
	} {
		require.InDelta(t, test.span, spanOfDiameter*test.diameter, 0.005, source)
	}
	for _, test := range []struct {
		name     string
		modules  int
		diameter float64
	}{
		{"EAN-13", 95, 59.9}, {"EAN-8", 67, 42.2},
	} {
		const nominal = 0.330 // mm, the module of EAN on consumer goods (seen)
		dots := func(diameter float64) int {
			var w way
			w.bend(test.modules, Room{Diameter: diameter})
			return w.dots(nominal, 0)
		}
		// The thinnest diameter, to a tenth of a millimetre (computed).
		require.Equal(t, 1, dots(test.diameter+0.05), test.name)
		require.Equal(t, 0, dots(test.diameter-0.05), test.name)
	}
}

// A QR of 29 modules, with its quiet zones, measures at least 14.652 mm at a
// point of sale, with modules of 0.396 mm (GS1 UK, seen).
func TestFitPublishedSize(t *testing.T) {
	m := encoded(t, QR, strings.Repeat("7", 58))
	require.Equal(t, 29, m.Width())
	const module = 0.396
	fitted, err := m.Fit(Room{Width: 14.652, Height: 14.652}, 25.4/module, 0)
	require.NoError(t, err)
	require.Equal(t, 1, fitted.Dots)
	require.InDelta(t, 14.652, fitted.Width, 1e-9)
	_, err = m.Fit(Room{Width: 14.651, Height: 14.652}, 25.4/module, 0)
	require.ErrorAs(t, err, new(*RoomError))
}

func flat(width, height float64) Room { return Room{Width: width, Height: height} }

func TestFitFlat(t *testing.T) {
	dot300 := 25.4 / 300
	for _, test := range []struct {
		kind   Kind
		room   Room
		dpi    float64
		most   float64
		dots   int
		small  bool
		turned bool
		bar    float64
		reason string
	}{
		{QR, flat(10, 10), 300, 0, 4, false, false, 0, "29 modules of 0.339 mm in 10 mm"},
		{QR, flat(10, 50), 300, 0, 4, false, false, 0, "the narrow side counts"},
		{QR, flat(50, 10), 300, 0, 4, false, false, 0, "whichever it is"},
		{QR, flat(20, 20), 300, 0, 8, false, false, 0, "a larger room"},
		{QR, flat(20, 20), 600, 0, 16, false, false, 0, "smaller dots"},
		{QR, flat(20, 20), 203, 0, 5, false, false, 0, "larger dots"},
		{QR, flat(7.25, 7.25), 203, 0, 2, true, false, 0, "29 modules of exactly 0.25 mm"},
		{DataMatrix, flat(4, 4), 203, 0, 2, true, false, 0, "16 modules of exactly 0.25 mm"},
		{DataMatrix, flat(4, 4), 203.2, 0, 2, true, false, 0, "the same printer by its exact name"},
		{DataMatrix, flat(6, 6), 203, 0, 3, false, false, 0, "16 modules of exactly 0.375 mm"},
		{DataMatrix, flat(16*3*dot300, 16*3*dot300), 300, 0, 3, true, false, 0, "0.254 mm is small"},
		{DataMatrix, flat(16*4*dot300, 16*4*dot300), 300, 0, 4, false, false, 0, "0.3387 mm is not"},
		{DataMatrix, flat(16*7*dot300/2, 10), 600, 0, 7, true, false, 0, "0.296 mm is small"},
		{DataMatrix, flat(16*8*dot300/2, 10), 600, 0, 8, false, false, 0, "0.3387 mm is not"},
		{DataMatrix, flat(5.28, 5.28), 25.4 / 0.33, 0, 1, false, false, 0, "exactly 0.33 mm is not small"},
		{QR, flat(40, 40), 300, 0.5, 5, false, false, 0, "at most 0.5 mm: 0.423, not 0.508"},
		{QR, flat(40, 40), 203, 0.5, 4, false, false, 0, "at most 0.5 mm is four dots exactly"},
		{QR, flat(40, 40), 300, 3 * dot300, 3, true, false, 0, "at most three dots exactly"},
		{QR, flat(80, 80), 600, 2.159, 51, false, false, 0, "at most 51 dots, which binary fractions make a hair more"},
		{QR, flat(40, 40), 203, 0.25, 2, true, false, 0, "at most the least"},
		{QR, flat(10, 10), 300, 5, 4, false, false, 0, "a limit that sets none"},

		{Code128, flat(40, 10), 300, 0, 3, true, false, 10, "132 modules in 40 mm; bars as tall as the room"},
		{Code128, flat(60, 30), 300, 0, 5, false, false, 12, "bars of at most 12 mm"},
		{Code128, flat(33, 5), 203, 0, 2, true, false, 5, "132 modules of exactly 0.25 mm; the shortest bars"},
		{Code128, flat(5, 33), 203, 0, 2, true, true, 5, "the same turned"},
		{Code128, flat(10, 40), 300, 0, 3, true, true, 10, "turned, since it does not fit as it is"},
		{Code128, flat(40, 90), 300, 0, 3, true, false, 12, "not turned where it fits as it is"},
		{Code128, flat(90, 4.9), 300, 0, 0, false, false, 4.9, "bars too short, and no room to turn"},
		{Code128, flat(4.9, 90), 300, 0, 0, false, true, 4.9, "bars too short if turned"},
		{Code128, flat(32.9, 32.9), 203, 0, 0, false, false, 12, "a module below 0.25 mm either way"},

		{QR, flat(7.24, 7.25), 203, 0, 0, false, false, 0, "a hair less than 0.25 mm"},
		{QR, flat(7.25, 7.24), 203, 0, 0, false, false, 0, "the other side"},
		{QR, flat(7.3, 7.3), 300, 0, 0, false, false, 0, "0.25 mm would fit, but whole dots make 0.254"},
		{DataMatrix, flat(4.06, 4.06), 300, 0, 0, false, false, 0, "a hair less than 0.254 mm"},
		{DataMatrix, flat(0, 10), 300, 0, 0, false, false, 0, "no room at all"},
		{DataMatrix, flat(-3, 10), 300, 0, 0, false, false, 0, "less than none, as subtracting margins may give"},
		{Code128, flat(60, -3), 300, 0, 0, false, false, 0, "no room for bars"},
	} {
		t.Run(test.kind.String()+" "+test.reason, func(t *testing.T) {
			fitted, err := encoded(t, test.kind, code).Fit(test.room, test.dpi, test.most)
			if test.dots == 0 {
				var refused *RoomError
				require.ErrorAs(t, err, &refused)
				require.Equal(t, test.bar, refused.Bar)
				require.Equal(t, test.turned, refused.Turned)
				require.GreaterOrEqual(t, refused.Module, 0.0)
				require.Zero(t, refused.Diameter)
				return
			}
			require.NoError(t, err)
			require.Equal(t, test.dots, fitted.Dots)
			require.InDelta(t, float64(test.dots)*Dot(test.dpi), fitted.Module, 1e-12)
			require.Equal(t, test.small, fitted.Small)
			require.Equal(t, test.turned, fitted.Turned)
			require.Equal(t, test.bar, fitted.Bar)
		})
	}
}

func TestFitExtent(t *testing.T) {
	qr, err := encoded(t, QR, code).Fit(flat(10, 12), 203, 0)
	require.NoError(t, err)
	require.Equal(t, [2]float64{29 * 0.25, 29 * 0.25}, [2]float64{qr.Width, qr.Height})
	require.Equal(t, 21, qr.Modules.Width(), "the modules are still there")

	matrix, err := encoded(t, DataMatrix, code).Fit(flat(10, 12), 203, 0)
	require.NoError(t, err)
	require.Equal(t, [2]float64{16 * 0.625, 16 * 0.625}, [2]float64{matrix.Width, matrix.Height})

	bars, err := encoded(t, Code128, code).Fit(flat(50, 9), 203, 0)
	require.NoError(t, err)
	require.Equal(t, [2]float64{132 * 0.375, 9}, [2]float64{bars.Width, bars.Height})

	turned, err := encoded(t, Code128, code).Fit(flat(9, 50), 203, 0)
	require.NoError(t, err)
	require.Equal(t, [2]float64{9, 132 * 0.375}, [2]float64{turned.Width, turned.Height})
}

func bent(width, height float64, around Axis, diameter float64) Room {
	return Room{Width: width, Height: height, Around: around, Diameter: diameter}
}

func TestFitBent(t *testing.T) {
	for _, test := range []struct {
		kind     Kind
		room     Room
		dots     int // at 300 dpi
		turned   bool
		bar      float64
		diameter float64 // needed, if refused
		reason   string
	}{
		{QR, bent(20, 20, AcrossWidth, 12), 3, false, 0, 0, "6.28 mm across the curve for 21 modules; the quiet zone does not count"},
		{QR, bent(20, 20, AcrossHeight, 12), 3, false, 0, 0, "the same along the other side"},
		{QR, bent(20, 20, AcrossWidth, 30), 8, false, 0, 0, "a thick stem sets no limit here"},
		{QR, bent(20, 20, AcrossWidth, 10), 0, false, 0, 10.19, "5.24 mm is not enough for 21 modules of 0.254 mm"},
		{DataMatrix, bent(20, 20, AcrossWidth, 12), 5, false, 0, 0, "14 modules"},
		{DataMatrix, bent(20, 20, AcrossWidth, 8), 3, false, 0, 0, "4.19 mm for 14 modules"},
		{DataMatrix, bent(20, 20, AcrossHeight, 6), 0, false, 0, 6.79, "3.14 mm is not enough"},
		{DataMatrix, bent(4, 20, AcrossWidth, 20), 0, false, 0, 6.79, "the room is too small, not the stem"},
		{DataMatrix, Room{Width: 20, Height: 20, Diameter: 1}, 14, false, 0, 0, "a flat room has no diameter"},

		{Code128, bent(60, 60, AcrossWidth, 8), 5, true, 12, 0, "turned, so that the bars run round the stem"},
		{Code128, bent(12, 40, AcrossWidth, 4), 3, true, 12, 0, "bars may run round the stem without limit"},
		{Code128, bent(60, 20, AcrossHeight, 8), 5, false, 12, 0, "as it is, the bars run round the stem already"},
		{Code128, bent(20, 60, AcrossHeight, 50), 0, true, 12, 54.33, "turned, the bars would run along the stem"},
		{Code128, bent(20, 60, AcrossHeight, 8), 0, false, 12, 0, "round a thin stem it is far from that; more length would help"},
		{Code128, bent(60, 20, AcrossWidth, 8), 0, true, 12, 0, "no room along the stem"},
		{Code128, bent(60, 60, AcrossWidth, 60), 3, false, 12, 0, "31.4 mm across the curve for 112 modules"},
		{Code128, bent(60, 60, AcrossWidth, 54.3), 5, true, 12, 0, "28.4 mm is not enough for 112 modules"},
	} {
		t.Run(test.kind.String()+" "+test.reason, func(t *testing.T) {
			fitted, err := encoded(t, test.kind, code).Fit(test.room, 300, 0)
			if test.dots == 0 {
				var refused *RoomError
				require.ErrorAs(t, err, &refused)
				require.Equal(t, test.turned, refused.Turned)
				require.InDelta(t, test.diameter, refused.Diameter, 0.005)
				return
			}
			require.NoError(t, err)
			require.Equal(t, test.dots, fitted.Dots)
			require.Equal(t, test.turned, fitted.Turned)
			require.Equal(t, test.bar, fitted.Bar)
		})
	}
}

func TestBest(t *testing.T) {
	for _, test := range []struct {
		text   string
		room   Room
		most   float64
		want   Kind
		small  bool
		reason string
	}{
		{code, flat(20, 20), 0, QR, false, "room for QR"},
		{code, flat(9.83, 9.83), 0, QR, false, "QR with four dots, 0.339 mm"},
		{code, flat(9.82, 9.82), 0, DataMatrix, false, "QR would have three dots, Data Matrix has seven"},
		{code, flat(7, 7), 0, DataMatrix, false, "QR does not fit"},
		{code, flat(5, 5), 0, DataMatrix, true, "QR does not fit, and Data Matrix is small"},
		{code, flat(20, 20), 0.3, QR, true, "both small by wish"},
		{code, bent(20, 20, AcrossWidth, 12), 0, DataMatrix, false, "QR would be small round this stem"},
		{code, bent(20, 20, AcrossWidth, 16), 0, QR, false, "a thicker stem"},
		{code, bent(20, 20, AcrossWidth, 8), 0, DataMatrix, true, "a thin stem"},
		{"Käthe", flat(8, 8), 0, QR, true, "QR is small, but Data Matrix does not hold such a text"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var fits []Fitted
			for _, kind := range Auto() {
				if m, err := Encode(kind, test.text); err == nil {
					if fitted, err := m.Fit(test.room, 300, test.most); err == nil {
						fits = append(fits, fitted)
					}
				}
			}
			fitted := fits[Best(fits)]
			require.Equal(t, test.want, fitted.Kind())
			require.Equal(t, test.small, fitted.Small)
			text, err := read(fitted.Modules)
			require.NoError(t, err)
			require.Equal(t, test.text, text)
		})
	}
}

func TestFitRefusesFigures(t *testing.T) {
	for _, test := range []struct {
		room      Room
		dpi, most float64
		want      string
	}{
		{flat(20, 20), 0, 0, "no printer has 0 dpi"},
		{flat(20, 20), math.NaN(), 0, "no printer has NaN dpi"},
		{flat(20, 20), math.Inf(1), 0, "no printer has +Inf dpi"},
		{flat(20, 20), 300, -1, "modules of at most -1 mm"},
		{flat(20, 20), 300, math.NaN(), "modules of at most NaN mm"},
		{flat(20, 20), 300, 0.25, "modules of at most 0.25 mm are too small: at 300 dpi they have 0.254 mm or more"},
		{flat(math.NaN(), 20), 300, 0, "a width of NaN mm"},
		{flat(20, math.Inf(1)), 300, 0, "a height of +Inf mm"},
		{flat(math.Inf(-1), 20), 300, 0, "a width of -Inf mm"},
		{bent(20, 20, AcrossWidth, 0), 300, 0, "a diameter of 0 mm"},
		{bent(20, 20, AcrossHeight, -8), 300, 0, "a diameter of -8 mm"},
		{bent(20, 20, AcrossHeight, math.NaN()), 300, 0, "a diameter of NaN mm"},
		{bent(20, 20, AcrossHeight+1, 8), 300, 0, "bent in no known way"},
	} {
		t.Run(test.want, func(t *testing.T) {
			_, err := encoded(t, QR, code).Fit(test.room, test.dpi, test.most)
			require.ErrorContains(t, err, test.want)
			require.NotErrorAs(t, err, new(*RoomError))
			require.NotEmpty(t, err.(interface{ Hint() string }).Hint())
		})
	}
	_, err := Modules{}.Fit(flat(20, 20), 300, 0)
	require.ErrorContains(t, err, "no symbol")
}

func TestRoomError(t *testing.T) {
	for _, test := range []struct {
		kind        Kind
		room        Room
		dpi         float64
		text, hint  string
		needs       Room // what the hint says, made a room
		needsTurned bool
	}{
		{
			QR, flat(6, 8.5), 300,
			"qr of 21 × 21 modules does not fit in 6 × 8.5 mm at 300 dpi: its modules would be 0.169 mm (2 dots) and must be at least 0.254 mm (3 dots)",
			"it needs 7.4 × 7.4 mm; datamatrix takes less room for a code",
			flat(7.4, 7.4), false,
		},
		{
			DataMatrix, flat(3.99, 3.99), 203,
			"datamatrix of 14 × 14 modules does not fit in 3.99 × 3.99 mm at 203 dpi: its modules would be 0.125 mm (1 dot) and must be at least 0.25 mm (2 dots)",
			"it needs 4.0 × 4.0 mm",
			flat(4, 4), false,
		},
		{
			DataMatrix, bent(20, 20, AcrossWidth, 6), 300,
			"datamatrix of 14 × 14 modules does not fit in 20 × 20 mm round a stem of 6 mm at 300 dpi: its modules would be 0.169 mm (2 dots) and must be at least 0.254 mm (3 dots)",
			"it needs 4.1 × 4.1 mm round a stem of 6.8 mm or more; code128 can run along the stem",
			bent(4.1, 4.1, AcrossWidth, 6.8), false,
		},
		{
			Code128, flat(40, 4), 300,
			"code128 of 112 modules does not fit in 40 × 4 mm at 300 dpi: its bars would be 4 mm long and must be at least 5 mm",
			"it needs 33.6 × 5.0 mm; datamatrix takes less room for a code",
			flat(33.6, 5), false,
		},
		{
			Code128, bent(60, 20, AcrossWidth, 8), 600,
			"code128 of 112 modules does not fit in 60 × 20 mm round a stem of 8 mm at 600 dpi: its modules would be 0.127 mm (3 dots) and must be at least 0.254 mm (6 dots)",
			"it needs 5.0 × 33.6 mm; datamatrix takes less room for a code",
			bent(5, 33.6, AcrossWidth, 8), true,
		},
	} {
		t.Run(test.text, func(t *testing.T) {
			m := encoded(t, test.kind, code)
			_, err := m.Fit(test.room, test.dpi, 0)
			var refused *RoomError
			require.ErrorAs(t, err, &refused)
			require.Equal(t, test.text, refused.Error())
			require.Equal(t, test.hint, refused.Hint())
			fitted, err := m.Fit(test.needs, test.dpi, 0)
			require.NoError(t, err, "the hint is good advice")
			require.Equal(t, test.needsTurned, fitted.Turned)
		})
	}
}
