package layouts

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCorrection(t *testing.T) {
	for _, test := range []struct {
		reason       string
		c            Correction
		x, y         float64
		wantX, wantY float64
	}{
		{"none", Correction{}, 100, 200, 100, 200},
		{"right and up", Correction{ShiftX: 0.5, ShiftY: -1}, 100, 200, 100.5, 199},
		{"smaller across, larger down", Correction{ScaleX: 0.998, ScaleY: 1.001}, 100, 200, 99.8, 200.2},
		{"the corner of the paper does not move with the scale", Correction{ScaleX: 0.97, ScaleY: 1.03}, 0, 0, 0, 0},
		{"a shift is in printed millimetres, not scaled", Correction{10, 10, 0.97, 1}, 100, 0, 107, 10},
		{"one scale alone", Correction{ScaleY: 0.99}, 100, 200, 100, 198},
	} {
		t.Run(test.reason, func(t *testing.T) {
			x, y := test.c.Point(test.x, test.y)
			require.InDelta(t, test.wantX, x, 1e-9)
			require.InDelta(t, test.wantY, y, 1e-9)
		})
	}
}

// The corners of a corrected area are the corrected corners.
func TestCorrectionArea(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	for range 1000 {
		c := Correction{random.Float64()*40 - 20, random.Float64()*40 - 20, 0.97 + random.Float64()*0.06, 0.97 + random.Float64()*0.06}
		r := Rect{random.Float64() * 200, random.Float64() * 200, random.Float64() * 100, random.Float64() * 100}
		area := c.Area(r)
		x, y := c.Point(r.X+r.Width, r.Y+r.Height)
		require.InDelta(t, x, area.X+area.Width, 1e-9)
		require.InDelta(t, y, area.Y+area.Height, 1e-9)
	}
}

func TestCorrectionNone(t *testing.T) {
	require.True(t, Correction{}.None())
	require.True(t, Correction{ScaleX: 1, ScaleY: 1}.None(), "a scale of 1 is none")
	require.True(t, Correction{ScaleX: 1}.None())
	require.False(t, Correction{ShiftY: 0.1}.None())
	require.False(t, Correction{ScaleY: 0.998}.None())
}

// A printer that prints k times too large and o beside the place prints right
// with the scale that measuring gives, and the shift against o; also when it
// is measured again with a correction in use.
func TestScaleFor(t *testing.T) {
	require.Equal(t, 0.998, rounded(ScaleFor(100, 100.2), 3), "a printer that prints too large needs a scale below 1")
	require.Equal(t, 1.001, rounded(ScaleFor(100, 99.9), 3))
	random := rand.New(rand.NewPCG(7, 2))
	for range 1000 {
		k, o := 0.98+random.Float64()*0.04, random.Float64()*10-5
		printer := func(x float64) float64 { return k*x + o }
		inUse := Correction{ShiftX: random.Float64() - 0.5, ScaleX: 0.99 + random.Float64()*0.02}
		printed := func(c Correction, x float64) float64 { x, _ = c.Point(x, 0); return printer(x) }
		measured := printed(inUse, 110) - printed(inUse, 10)
		next := Correction{ShiftX: inUse.ShiftX, ScaleX: inUse.ScaleX * ScaleFor(100, measured)}
		require.InDelta(t, 100, printed(next, 110)-printed(next, 10), 0.002)
		tooFarRight := printed(next, 0)
		next.ShiftX -= tooFarRight
		// The printer scales the shift too: a shift of 5 mm by 2 % is 0.1 mm off.
		for _, x := range []float64{0, 100, 210} {
			require.InDelta(t, x, printed(next, x), 0.12)
		}
	}
}

func TestParseShift(t *testing.T) {
	for _, test := range []struct {
		reason, text string
		x, y         float64
	}{
		{"right and up", "0.5mm,-1mm", 0.5, -1},
		{"left and down", "-0.5mm,1mm", -0.5, 1},
		{"spaces", " - 0.5 mm , 1 mm ", -0.5, 1},
		{"decimal commas", "0,5mm,-1,5mm", 0.5, -1.5},
		{"another unit", "1/16in,-0.1cm", 1.588, -1},
		{"none", "0mm,0mm", 0, 0},
		{"a negative nothing is nothing", "-0mm,0mm", 0, 0},
		{"as far as it goes", "-20mm,20mm", -20, 20},
	} {
		t.Run(test.reason, func(t *testing.T) {
			x, y, err := ParseShift(test.text)
			require.NoError(t, err)
			require.Equal(t, test.x, x)
			require.Equal(t, test.y, y)
			require.NotContains(t, Correction{ShiftX: x, ShiftY: y}.FormatShift(), "-0mm")
		})
	}
	for _, test := range []struct{ reason, text, says string }{
		{"nothing", "", "is not two lengths"},
		{"one length", "0.5mm", "is not two lengths"},
		{"a decimal comma is no second length", "0,5mm", "is not two lengths"},
		{"no units", "0.5,-1", "is not two lengths"},
		{"one unit", "0.5,-1mm", "is not two lengths"},
		{"no second unit", "0.5mm,-1", "it has no unit"},
		{"three lengths", "1mm,1mm,1mm", "is not a valid shift"},
		{"a plus sign", "+1mm,1mm", "is not a valid shift"},
		{"two separators", "--1mm,1mm", "is not two lengths"},
		{"too far", "20.1mm,0mm", "more than 20 mm"},
		{"too far up", "0mm,-1in", "more than 20 mm"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, _, err := ParseShift(test.text)
			requireAdvice(t, err, test.says)
		})
	}
}

func TestParseScale(t *testing.T) {
	for _, test := range []struct {
		reason, text string
		x, y         float64
	}{
		{"both ways", "0.998", 0.998, 0.998},
		{"across and down", "0.998,1.001", 0.998, 1.001},
		{"down alone", "1,0.998", 1, 0.998},
		{"spaces", " 1 , 0.998 ", 1, 0.998},
		{"the sixth decimal is rounded", "0.9980049", 0.998, 0.998},
		{"the least and the most", "0.97,1.03", 0.97, 1.03},
	} {
		t.Run(test.reason, func(t *testing.T) {
			x, y, err := ParseScale(test.text)
			require.NoError(t, err)
			require.Equal(t, test.x, x)
			require.Equal(t, test.y, y)
		})
	}
	for _, test := range []struct{ reason, text, says string }{
		{"nothing", "", "is not a valid scale"},
		{"a decimal comma would be 1 across and 1 down", "1,001", "is not a valid scale"},
		{"a decimal comma", "0,998", "is not a valid scale"},
		{"per cent", "99.8", "is not a valid scale"},
		{"per cent with a sign", "99.8%", "is not a valid scale"},
		{"three numbers", "1,1,1", "is not a valid scale"},
		{"no number behind the comma", "1,", "is not a valid scale"},
		{"a sign", "-1", "is not a valid scale"},
		{"a plus sign, which a number parser would take", "+1", "is not a valid scale"},
		{"an exponent, which a number parser would take", "1e0", "is not a valid scale"},
		{"not a number", "NaN", "is not a valid scale"},
		{"fit to page", "0.94", "from 0.97 to 1.03"},
		{"no size at all", "0", "from 0.97 to 1.03"},
		{"too large down", "1,1.0301", "from 0.97 to 1.03"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, _, err := ParseScale(test.text)
			requireAdvice(t, err, test.says)
			if test.says == "is not a valid scale" {
				require.NotContains(t, err.Error(), "from", "the form is wrong, not the size")
			}
		})
	}
	_, _, err := ParseScale("0.94")
	var fault *Error
	require.ErrorAs(t, err, &fault)
	require.Contains(t, fault.Hint(), `turn "fit to page" off`)
}

func requireAdvice(t *testing.T, err error, says string) {
	t.Helper()
	var fault *Error
	require.ErrorAs(t, err, &fault)
	require.ErrorContains(t, err, says)
	require.NotEmpty(t, fault.Hint())
}

// What is read is written so that it is read again as the same.
func FuzzParseShift(f *testing.F) {
	for _, seed := range []string{"0.5mm,-1mm", "0,5mm,-1,5mm", "5/16in,-1/8in", "-0mm,0mm", "20mm,-20mm", "20.0004mm,0mm", "1mm,", ",1mm", "-,-", "1″,1\""} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		x, y, err := ParseShift(text)
		if err != nil {
			requireAdvice(t, err, "")
			return
		}
		require.LessOrEqual(t, max(x, -x, y, -y), MostShift)
		againX, againY, err := ParseShift(Correction{ShiftX: x, ShiftY: y}.FormatShift())
		require.NoError(t, err)
		require.Equal(t, [2]float64{x, y}, [2]float64{againX, againY})
	})
}

// What is read is written so that it is read again as the same.
func FuzzParseScale(f *testing.F) {
	for _, seed := range []string{"0.998", "0.998,1.001", "1,1", "1,001", "0.97,1.03", "0.9699999", "1.030000001", "1.", ".99"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		x, y, err := ParseScale(text)
		if err != nil {
			requireAdvice(t, err, "")
			return
		}
		require.True(t, min(x, y) >= LeastScale && max(x, y) <= MostScale)
		againX, againY, err := ParseScale(Correction{ScaleX: x, ScaleY: y}.FormatScale())
		require.NoError(t, err)
		require.Equal(t, [2]float64{x, y}, [2]float64{againX, againY})
	})
}
