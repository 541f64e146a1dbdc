package labels

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/layouts"
)

// On any label stock, a preview has boxes instead of symbols, and no digit of a code.
func TestPreview(t *testing.T) {
	face, batch := builtIn(t), testBatch(t, "Amber Weathercock", "Old Gate")
	boxes := map[symbol.Kind]int{}
	for _, stock := range append(layouts.Catalogue(), lookup(t, "a4-4x12:48.5x21.2mm")) {
		for _, wrap := range []layouts.Wrap{layouts.Flag, layouts.Loop, layouts.Band} {
			for _, kind := range []symbol.Kind{symbol.QR, symbol.DataMatrix, symbol.Code128} {
				o := testOptions(t, face, stock.Name, wrap, 6)
				o.Symbols = []symbol.Kind{kind}
				stems, err := DesignStem(batch, o)
				if err != nil {
					continue // it does not go round
				}
				label, err := stems.Label(17)
				require.NoError(t, err)
				preview := label.Preview()
				require.Empty(t, preview.Symbols)
				require.NotRegexp(t, `26329|004|0017|63`, texts(preview), "%s as a %v with %v", stock.Name, wrap, kind)
				require.Contains(t, texts(preview), "17 of 40", "what is no code stays")
				require.Len(t, preview.Lines, len(label.Lines)+6*len(label.Symbols))
				for _, line := range preview.Lines[len(label.Lines):] {
					boxes[kind]++
					place := label.Symbols[0].Place
					require.True(t, place.Contains(layouts.Rect{X: line.FromX, Y: line.FromY}) && place.Contains(layouts.Rect{X: line.ToX, Y: line.ToY}))
				}
			}
		}
	}
	require.Len(t, boxes, 3)
}
