package command

import (
	"math/rand/v2"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

func TestCorrectionFlags(t *testing.T) {
	for _, test := range []struct {
		reason string
		args   []string
		want   layouts.Correction
	}{
		{"none", nil, layouts.Correction{}},
		{"a shift to the left is a value, not a flag", []string{"--shift", "-0.5mm,1mm"}, layouts.Correction{ShiftX: -0.5, ShiftY: 1}},
		{"both", []string{"--shift=0.5mm,-1mm", "--scale", "0.998,1.001"}, layouts.Correction{ShiftX: 0.5, ShiftY: -1, ScaleX: 0.998, ScaleY: 1.001}},
		{"one scale for both ways", []string{"--scale", "0.998"}, layouts.Correction{ScaleX: 0.998, ScaleY: 0.998}},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var c layouts.Correction
			flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
			flags.Var(Shift(&c), "shift", "")
			flags.Var(Scale(&c), "scale", "")
			require.NoError(t, flags.Parse(test.args))
			require.Equal(t, test.want, c)
		})
	}
	require.Equal(t, "0mm,0mm", Shift(new(layouts.Correction)).String())
	require.Equal(t, "1", Scale(new(layouts.Correction)).String())
}

// Every value in reach is written so that Set reads the same.
func TestCorrectionFlagsRoundTrip(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 5))
	for range 5000 {
		c := layouts.Correction{
			ShiftX: float64(random.IntN(40_001)-20_000) / 1000, ShiftY: float64(random.IntN(40_001)-20_000) / 1000,
			ScaleX: float64(97_000+random.IntN(6001)) / 100_000, ScaleY: float64(97_000+random.IntN(6001)) / 100_000,
		}
		if random.IntN(3) == 0 {
			c.ScaleY = c.ScaleX
		}
		var same layouts.Correction
		require.NoError(t, Shift(&same).Set(Shift(&c).String()))
		require.NoError(t, Scale(&same).Set(Scale(&c).String()))
		require.Equal(t, c, same)
	}
}

func TestCorrectionFlagsRefuse(t *testing.T) {
	for _, bad := range []string{"", "1mm", "0.5,-1", "21mm,0mm", "0mm,-21mm", "NaNmm,0mm"} {
		require.Error(t, Shift(new(layouts.Correction)).Set(bad), "%q", bad)
	}
	for _, bad := range []string{"", "0.96", "1.04", "0.998,2", "1,001", "100%"} {
		require.Error(t, Scale(new(layouts.Correction)).Set(bad), "%q", bad)
	}
	var fault interface{ Hint() string }
	require.ErrorAs(t, Scale(new(layouts.Correction)).Set("0.96"), &fault)
	require.Contains(t, fault.Hint(), `turn "fit to page" off`)
}
