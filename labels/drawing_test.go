package labels

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

// A drawing of any stock stays on its page, and has every number and every panel.
func TestDrawing(t *testing.T) {
	face := builtIn(t)
	stem := layouts.Stem{Diameter: 8, Clearance: 2}
	stocks := append(layouts.Catalogue(), lookup(t, "a4-7x27:25x10mm"), lookup(t, "strip-7x20"), lookup(t, "strip-12x500"), lookup(t, "card-a4-2x2:90x100@106x140+10x50mm"))
	for _, stock := range stocks {
		for _, wrap := range layouts.Wraps() {
			page, design := DesignDrawing(stock, wrap, stem, face)
			said := map[string]int{}
			for _, text := range design.Texts {
				said[text.String]++
				require.True(t, page.Paper.Rect().Contains(text.Ink), "%s as a %s: %q", stock.Name, wrap, text.String)
			}
			for _, line := range design.Lines {
				for _, x := range []float64{line.FromX, line.ToX} {
					require.True(t, x >= 0 && x <= page.Paper.Width, "%s as a %s", stock.Name, wrap)
				}
			}
			for n := range stock.Count() {
				require.NotZero(t, said[strconv.Itoa(n+1)], "position %d of %s", n+1, stock.Name)
			}
			require.NotZero(t, said[layouts.FormatNumber(stock.Paper.Width)], "%s", stock.Name)
			wrapped, err := stock.Wrap(wrap, stem)
			switch {
			case stock.Medium == layouts.Card:
				require.NotZero(t, said["print"])
			case err != nil:
				require.Zero(t, said["names and code"]+said["names"])
			case wrap == layouts.Flag:
				require.NotZero(t, said["names"])
				require.NotZero(t, said[layouts.FormatTenth(wrapped.Creases[0])], "how far the first panel reaches")
			default:
				require.NotZero(t, said["names and code"])
			}
		}
	}
}
