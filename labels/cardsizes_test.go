package labels

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
)

// Records of one batch need symbols of different sizes. All have modules of one
// size and stand around one point.
func TestSmallerSymbolsStandInTheMiddle(t *testing.T) {
	face := builtIn(t)
	batch := testBatch(t, "Amber Weathercock", "Marlpit Hedge")
	batch.Grafts, batch.TraySize = 1000, 9
	several := 0
	for note := 1; note <= 40; note += 3 {
		batch.Note = strings.Repeat("n", note)
		o := testOptions(t, face, "card-a6", 0, 0)
		o.CardSymbol = CardRecord
		d, err := DesignTray(batch, o)
		require.NoError(t, err)
		sizes := map[int]bool{}
		var middleX, middleY float64
		for i, tray := range []int{1, 12, 111, 112} {
			slip, err := d.Card(tray)
			require.NoError(t, err)
			requireProper(t, slip, o.Stock, batch)
			s := slip.Symbols[0]
			sizes[s.Modules.Width()] = true
			quiet, _ := s.Quiet()
			require.InDelta(t, float64(s.Modules.Width()+2*quiet)*s.Module, s.Place.Width, 1e-9)
			require.Equal(t, d.heading.fitted.Module, s.Module)
			x, y := s.Place.X+s.Place.Width/2, s.Place.Y+s.Place.Height/2
			if i == 0 {
				middleX, middleY = x, y
			}
			require.InDelta(t, middleX, x, 1e-9)
			require.InDelta(t, middleY, y, 1e-9)
		}
		if len(sizes) > 1 {
			several++
		}
	}
	require.NotZero(t, several, "some batch has symbols of two sizes")
	t.Logf("%d of 14 batches have symbols of several sizes", several)
}

// The place that is kept is that of the largest symbol of all trays, in each
// kind of symbol, also where that of the first tray is smaller.
func TestLargestSymbol(t *testing.T) {
	differ := map[symbol.Kind]int{}
	for _, test := range []struct {
		kind  symbol.Kind
		sizes [2]int
		notes int
	}{
		{symbol.DataMatrix, [2]int{101, 10}, 30}, {symbol.DataMatrix, [2]int{990, 1}, 1}, {symbol.DataMatrix, [2]int{8999, 90}, 1},
		{symbol.QR, [2]int{18, 9}, 20}, {symbol.QR, [2]int{101, 20}, 1},
	} {
		for note := range test.notes {
			batch := testBatch(t, "Amber Weathercock", "Marlpit Hedge")
			batch.Grafts, batch.TraySize, batch.Note = test.sizes[0], test.sizes[1], strings.Repeat("n", note)
			d := &TrayCards{batch: batch, options: Options{CardSymbol: CardRecord, Symbols: []symbol.Kind{test.kind}}}
			trays, err := d.trayCodes()
			require.NoError(t, err)
			candidates, err := largestSymbols(d.options.Symbols, d.symbolShapes(trays))
			require.NoError(t, err)
			first, largest := 0, 0
			for i, code := range trays {
				modules, err := symbol.Encode(test.kind, d.says(code))
				require.NoError(t, err)
				largest = max(largest, modules.Width())
				if i == 0 {
					first = modules.Width()
				}
			}
			require.Equal(t, largest, candidates[0].Width(), "%v, %v", test.kind, test.sizes)
			if first < largest {
				differ[test.kind]++
			}
		}
	}
	require.NotZero(t, differ[symbol.DataMatrix])
	require.NotZero(t, differ[symbol.QR])
}

// A Code 128 that was turned is centred in the other direction.
func TestHolding(t *testing.T) {
	large, err := symbol.Encode(symbol.Code128, "123456789012")
	require.NoError(t, err)
	small, err := symbol.Encode(symbol.Code128, "12345678")
	require.NoError(t, err)
	less := float64(large.Width() - small.Width())
	require.Positive(t, less)
	for _, turned := range []bool{false, true} {
		room := symbol.Room{Width: 60, Height: 8}
		if turned {
			room.Width, room.Height = 8, 60
		}
		fitted, err := large.Fit(room, 300, 0)
		require.NoError(t, err)
		require.Equal(t, turned, fitted.Turned)
		held := arrangement{fitted: fitted, symbolX: 1, symbolY: 2}.holding(small)
		alongX, alongY := less*fitted.Module, 0.0
		if turned {
			alongX, alongY = alongY, alongX
		}
		require.InDelta(t, 1+alongX/2, held.symbolX, 1e-9)
		require.InDelta(t, 2+alongY/2, held.symbolY, 1e-9)
		require.InDelta(t, alongX, fitted.Width-held.fitted.Width, 1e-9)
		require.InDelta(t, alongY, fitted.Height-held.fitted.Height, 1e-9)
	}
}
