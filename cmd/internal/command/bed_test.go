package command

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

func TestTraySize(t *testing.T) {
	const wrong = "write the size of a tray as in 280x540mm, 28x54cm or 11x21in"
	for _, row := range []struct{ reason, text, want, err string }{
		{"millimetres", "280x540mm", "280x540mm", ""},
		{"centimetres", "28x54cm", "280x540mm", ""},
		{"inches", "11x21in", "279.4x533.4mm", ""},
		{"a unit for each, a sign and spaces, as people write", "28 cm × 540 mm", "280x540mm", ""},
		{"no unit", "280x540", "", wrong},
		{"one side", "280mm", "", wrong},
		{"no number", "axbmm", "", wrong},
		{"three sides", "1x2x3mm", "", wrong},
		{"nothing on one side", "0x540mm", "", wrong},
		{"a slip of the pen", "280x540cm", "", "a tray is at most 3000 mm wide and long"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			var bed BedFlags
			size := TraySize(&bed.Tray)
			err := size.Set(row.text)
			if row.err != "" {
				require.EqualError(t, err, row.err)
				require.Empty(t, size.String())
				return
			}
			require.NoError(t, err)
			require.Equal(t, row.want, size.String())
			var again BedFlags
			require.NoError(t, TraySize(&again.Tray).Set(size.String()), "what it says is read again")
			require.InDelta(t, bed.SquareMetres(1), again.SquareMetres(1), 1e-9)
		})
	}
	require.InDelta(t, 0.4536, (&BedFlags{Tray: layouts.Size{Width: 280, Height: 540}}).SquareMetres(3), 1e-9)
}

func TestPlaces(t *testing.T) {
	for _, row := range []struct {
		reason, text string
		want         int
	}{
		{"a number", " 40 ", 40},
		{"none", "0", 0},
		{"less than none", "-1", 0},
		{"more than any bed holds", "100001", 0},
		{"a word", "many", 0},
	} {
		t.Run(row.reason, func(t *testing.T) {
			var places int
			flag := BedSpaces(&places)
			err := flag.Set(row.text)
			require.Equal(t, row.want, places)
			if row.want == 0 {
				require.EqualError(t, err, "a bed holds 1 to 100000 trays")
				require.Empty(t, flag.String())
			}
		})
	}
}
