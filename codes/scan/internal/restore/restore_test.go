package restore

import (
	"fmt"
	"iter"
	"math/rand/v2"
	"testing"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
	matrixdecoder "github.com/makiuchi-d/gozxing/datamatrix/decoder"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/stretchr/testify/require"
)

// drawn is a symbol of an encoder that is not ours.
func drawn(t *testing.T, b barcode.Barcode, err error) (columns, rows int, dark []bool) {
	t.Helper()
	require.NoError(t, err)
	columns, rows = b.Bounds().Dx(), b.Bounds().Dy()
	for y := range rows {
		for x := range columns {
			v, _, _, _ := b.At(x, y).RGBA()
			dark = append(dark, v == 0)
		}
	}
	return columns, rows, dark
}

// seen is a whole symbol, all modules sure.
func seen(dark []bool) []Module {
	modules := make([]Module, len(dark))
	for i, d := range dark {
		modules[i] = Module{d, 1}
	}
	return modules
}

// hide makes a share of the modules guesses, in one spot.
func hide(modules []Module, columns int, share float64, random *rand.Rand) {
	rows := len(modules) / columns
	at := [2]float64{random.Float64() * float64(columns), random.Float64() * float64(rows)}
	for hidden, radius := 0, 0.5; float64(hidden) < share*float64(len(modules)); radius += 0.25 {
		hidden = 0
		for i := range modules {
			dx, dy := float64(i%columns)+0.5-at[0], float64(i/columns)+0.5-at[1]
			if dx*dx+dy*dy > radius*radius {
				continue
			}
			if hidden++; modules[i].Sure != 0 {
				modules[i] = Module{random.IntN(2) == 0, 0}
			}
		}
	}
}

func first(symbols iter.Seq[[]byte]) []byte {
	for s := range symbols {
		return s
	}
	return nil
}

func TestQRRestored(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 1))
	for _, test := range []struct {
		text   string
		level  qr.ErrorCorrectionLevel
		share  float64 // of the modules that are hidden, in one spot
		least  int     // that must be restored, of 50: a spot may hide the format
		reason string
	}{
		{"26329004001763", qr.H, 0, 50, "a whole code comes back as it is"},
		{"26329004001763", qr.H, 0.22, 38, "of 17 codewords for correction, 15 make up for unknown ones"},
		{"26329004001763", qr.L, 0.05, 30, "level L has 7"},
		{"26329004001763 and a record behind it", qr.M, 0.1, 38, "a version with an alignment pattern"},
	} {
		b, err := qr.Encode(test.text, test.level, qr.Auto)
		side, _, dark := drawn(t, b, err)
		want := first(QR(side, seen(dark)))
		version, err := decoder.Version_GetProvisionalVersionForDimension(side)
		require.NoError(t, err)
		result, err := decoder.DecodedBitStreamParser_Decode(want, version, decoder.ErrorCorrectionLevel_L, nil)
		require.NoError(t, err)
		require.Equal(t, test.text, result.GetText())
		restored := 0
		const rounds = 50
		for range rounds {
			modules := seen(dark)
			hide(modules, side, test.share, random)
			if s := first(QR(side, modules)); s != nil {
				require.Equal(t, want, s, test.reason)
				restored++
			}
		}
		require.GreaterOrEqual(t, restored, test.least, test.reason)
		t.Logf("%d of %d restored: %s", restored, rounds, test.reason)
	}
}

func TestMatrixRestored(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 2))
	for round := range 100 {
		text := fmt.Sprintf("%014d", random.Int64N(1e14))
		b, err := datamatrix.Encode(text)
		side, _, dark := drawn(t, b, err)
		require.Equal(t, matrixSide, side)
		want := first(Matrix(side, seen(dark)))
		result, err := matrixdecoder.DecodedBitStreamParser_decode(want)
		require.NoError(t, err)
		require.Equal(t, text, result.GetText(), "as it is")
		modules := seen(dark)
		hide(modules, side, 0.01, random)
		require.Equal(t, want, first(Matrix(side, modules)), "round %d with a spot hidden", round)
	}
}

// A spot may hide up to a third of a symbol with a code, and modules may be
// wrong without looking it.
func TestMixedDamage(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 3))
	b, err := datamatrix.Encode("26329004001763")
	columns, _, dark := drawn(t, b, err)
	require.Equal(t, 14, columns)
	want := first(Matrix(columns, seen(dark)))
	require.NotNil(t, want)
	for wrong := range 4 {
		restored := 0
		const rounds = 100
		for range rounds {
			modules := seen(dark)
			hide(modules, columns, 0.04, random)
			for range wrong {
				i := random.IntN(len(modules))
				modules[i].Dark = !modules[i].Dark
			}
			if s := first(Matrix(columns, modules)); s != nil {
				require.Equal(t, want, s)
				restored++
			}
		}
		require.GreaterOrEqual(t, restored, []int{95, 85, 60, 30}[wrong])
		t.Logf("a spot of 4 %% and %d wrong modules: %d of %d", wrong, restored, rounds)
	}
}

// Chance must restore to nothing: what is left over proves the rest.
func TestChanceIsNotRestored(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 4))
	const rounds = 4000
	count := 0
	for range rounds {
		modules := make([]Module, 21*21)
		for i := range modules {
			modules[i] = Module{random.IntN(2) == 0, random.Float64()}
		}
		for range QR(21, modules) {
			count++
		}
		for range Matrix(14, modules[:196]) {
			count++
		}
	}
	require.LessOrEqual(t, count, 4, "one in 2,000")
	t.Logf("%d of %d fields of chance were restored to something", count, 2*rounds)
}

func TestOddSizesYieldNothing(t *testing.T) {
	for _, side := range []int{0, 1, 20, 22, 181} {
		require.Nil(t, first(QR(side, make([]Module, side*side))), "%d", side)
		require.Nil(t, first(Matrix(side, make([]Module, side*side))), "%d", side)
	}
	require.Nil(t, first(QR(21, nil)), "modules are missing")
	require.Nil(t, first(Matrix(14, nil)), "modules are missing")
}
