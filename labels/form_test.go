package labels

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/layouts"
)

// Small label stock carries what fits; all other stock carries everything.
func TestForms(t *testing.T) {
	face := builtIn(t)
	long := "Velvet Midnight Over Chalkfold"
	for _, test := range []struct {
		reason, stock string
		wrap          layouts.Wrap
		variety       string
		says, omits   string
	}{
		{"tape of 12 mm as a flag", "strip-12x90", layouts.Flag, "Amber", "‘Amber’|/ ‘Oak’|2026-11-25   17 of 40|26329-004|0017-63", ""},
		{"one panel: three lines where four have no room", "strip-12x100", layouts.Loop, "Amber", "‘Amber’|/ ‘Oak’|2026-11-25   17 of 40   26329-004-0017-63", ""},
		{"a name that needs two lines of three", "strip-12x80", layouts.Flag, "Amber Weathercock", "‘Amber|Weathercock’|26329-004|0017-63", "rootstock and date"},
		{"a band on a usual stem", "strip-12x60", layouts.Band, "Amber", "‘Amber’|26329-004-0017-63", "rootstock and date"},
		{"25 × 10 mm on a stake", "strip-10x25", layouts.LiesFlat, "Amber", "‘Amber’|26329-004", "rootstock, date and stem number"},
		{"25 × 10 mm and a long name", "strip-10x25", layouts.LiesFlat, long, "26329-004|0017-63", "names and date"},
		{"tape of 9 mm as a flag", "strip-9x60", layouts.Flag, long, "26329-004|0017-63", "names and date"},
		{"tape of 8 mm, cut to 22 mm", "strip-8x22", layouts.LiesFlat, "Amber", "‘Amber’|26329-004", "rootstock, date and stem number"},
		{"tape of 7.3 mm", "strip-7.3x60", layouts.Flag, "Amber", "26329-004", "names, date and stem number"},
		{"more on the label lying flat than round the stem", "letter-3x10", layouts.LiesFlat, long, "‘Velvet Midnight|Over Chalkfold’|/ ‘Oak’|2026-11-25   17 of 40|26329-004-0017-63", ""},
	} {
		for _, dpi := range []float64{203, 300} {
			o := testOptions(t, face, test.stock, test.wrap, 8)
			o.DPI = dpi
			d, err := DesignStem(testBatch(t, test.variety, "Oak"), o)
			require.NoError(t, err, test.reason)
			slip, err := d.Label(17)
			require.NoError(t, err, test.reason)
			require.Equal(t, test.says, texts(slip), test.reason)
			require.Equal(t, test.omits, d.Omits(), test.reason)
			require.Len(t, slip.Symbols, 1, test.reason)
			require.Equal(t, "26329004001763", slip.Symbols[0].Text, "the symbol always holds the whole code")
			spare, err := d.Spare()
			require.NoError(t, err, test.reason)
			require.Equal(t, "26329004000017", spare.Symbols[0].Text, test.reason)
			for _, text := range append(slip.Texts, spare.Texts...) {
				require.GreaterOrEqual(t, text.Size, LeastSize, test.reason)
				require.True(t, o.Stock.Safe().Contains(text.Ink), test.reason)
				require.True(t, o.Stock.Safe().Contains(slip.Symbols[0].Place), test.reason)
				require.Zero(t, text.Ink.Intersect(slip.Symbols[0].Place).Width*text.Ink.Intersect(slip.Symbols[0].Place).Height, test.reason)
			}
		}
	}
	o := testOptions(t, face, "strip-12x60", layouts.Band, 6)
	_, err := DesignStem(testBatch(t, "Amber", "Oak"), o)
	require.ErrorContains(t, err, "its modules would be 0.169 mm (2 dots) and must be at least 0.254 mm", "no symbol goes round so thin a stem")
	var room *symbol.RoomError
	require.ErrorAs(t, err, &room)
	_, err = DesignStem(testBatch(t, long, "Oak"), testOptions(t, face, "letter-4x20", layouts.Band, 8))
	require.ErrorContains(t, err, "variety", "on other stock a name is not left out")
}
