package layouts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParseLength(t *testing.T) {
	for _, test := range []struct {
		reason, text string
		want         float64
	}{
		{"millimetres", "8mm", 8},
		{"a space before the unit", "8 mm", 8},
		{"centimetres", "0.8cm", 8},
		{"decimal comma", "0,8 cm", 8},
		{"inches", "0.5in", 12.7},
		{"a fraction of an inch", "5/16in", 7.9375},
		{"a mixed number", "1 1/4 in", 31.75},
		{"the inch sign", `1/2"`, 12.7},
		{"the double prime", "1″", 25.4},
		{"the word", "2 inches", 50.8},
		{"capitals and spaces around", " 8 MM ", 8},
		{"no digit before the point", ".5in", 12.7},
		{"zero is a length", "0mm", 0},
	} {
		t.Run(test.reason, func(t *testing.T) {
			got, err := ParseLength(test.text)
			require.NoError(t, err)
			require.InDelta(t, test.want, got, 1e-9)
		})
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, test := range []struct{ reason, text, says string }{
		{"no unit: eighths or millimetres?", "8", "it has no unit"},
		{"nothing", "", "it has no valid number"},
		{"unit alone", "mm", "it has no valid number"},
		{"a sign", "-8mm", "it has no valid number"},
		{"a plus sign, which a number parser would take", "+8mm", "it has no valid number"},
		{"an exponent, which a number parser would take", "1e1mm", "it has no valid number"},
		{"a hexadecimal number", "0x8mm", "it has no valid number"},
		{"infinity", "Infmm", "it has no valid number"},
		{"not a number", "NaNmm", "it has no valid number"},
		{"a point alone", ".mm", "it has no valid number"},
		{"no digit after the point", "5.mm", "it has no valid number"},
		{"two points", "1.2.3mm", "it has no valid number"},
		{"a division by nothing", "5/0in", "it has no valid number"},
		{"a mixed number whose fraction is more than one", "1 5/4in", "it has no valid number"},
		{"an underscore", "1_0mm", "it has no valid number"},
		{"ten metres", "1000cm", "it is 10 m or more"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := ParseLength(test.text)
			var fault *Error
			require.ErrorAs(t, err, &fault)
			require.ErrorContains(t, err, " is not a length: "+test.says)
			require.NotEmpty(t, fault.Hint())
		})
	}
}

func FuzzParseLength(f *testing.F) {
	for _, seed := range []string{"8mm", "0,5 in", "1 1/4in", "5/16in", "", "1e9mm", "99999999999999mm", `3"`, "87.3125mm", "9999.9999mm"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		mm, err := ParseLength(s)
		if err != nil {
			return
		}
		require.False(t, math.IsNaN(mm) || mm < 0 || mm >= 10_000, "%q gives %v", s, mm)
		if mm > 9999.999 {
			return // may be rounded up to 10 m, which is refused
		}
		again, err := ParseLength(FormatLength(mm))
		require.NoError(t, err)
		require.InDelta(t, mm, again, 0.00051) // half of the last decimal, and binary fractions
	})
}
