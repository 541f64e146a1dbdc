package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/testdata/browser"
)

// shownPlot is how a browser lays a plot out, in the units of the plot.
type shownPlot struct {
	Wide, ScaleLeft, NamesRight, TextsRight float64
	TitleSize, NameSize, Interval, Pale     string
	Lozenges, Dots                          int
}

const lookAtPlot = `(() => {
  const all = (name) => [...document.querySelectorAll(name)], style = (element) => getComputedStyle(element);
  const right = (element) => element.getBBox().x + element.getBBox().width;
  const paths = all('path'), texts = all('text'), scale = paths[0].getBBox();
  const below = (element) => element.getBBox().y - scale.y;
  const names = texts.filter((text) => text.getBBox().x < scale.x && below(text) > 0 && below(text) < scale.height);
  const interval = all('circle')[0].previousElementSibling;
  return {
    Wide: document.documentElement.viewBox.baseVal.width, ScaleLeft: scale.x,
    NamesRight: Math.max(...names.map(right)), TextsRight: Math.max(...texts.map(right)),
    TitleSize: style(texts[0]).fontSize + ' ' + style(texts[0]).fontWeight, NameSize: style(names[0]).fontSize,
    Interval: style(interval).stroke + ' ' + style(interval).strokeWidth, Pale: style(paths[2]).stroke,
    Lozenges: paths.filter((path) => style(path).fill === 'rgb(255, 255, 255)' && style(path).stroke === 'rgb(0, 0, 0)').length,
    Dots: all('circle').length,
  };
})()`

// The plot is a page of its own, which a phone shows under the policy of all
// pages: what that forbids in a drawing is left out without a word.
func TestRatesPlotBrowser(t *testing.T) {
	settings := filepath.Join(t.TempDir(), "settings.toml")
	require.NoError(t, os.WriteFile(settings, nil, 0o600))
	t.Setenv(command.SettingsVariable, settings)
	b := browser.Start(t)
	h := ratedHouse(t)
	p := h.phone(b, h.serve("127.0.0.1:0"), "", "Ivo")
	p.Open("/rates")
	p.Tap("a[href^='/rates.svg']")
	p.UntilAt("/rates.svg")
	require.Empty(t, p.Thrown(), "nothing is against the policy")
	for _, font := range []string{"", "monospace", "serif"} { // phones lack the font that was measured
		if font != "" {
			browser.Eval[bool](p, "(document.documentElement.setAttribute('font-family', '"+font+"'), true)")
		}
		shown := browser.Eval[shownPlot](p, lookAtPlot)
		require.Equal(t, 136.0, shown.Wide)
		require.Less(t, shown.NamesRight, shown.ScaleLeft, "names end before the scale, %s", font)
		require.Greater(t, shown.NamesRight, shown.ScaleLeft-4, "they are as wide as was measured, %s", font)
		require.Less(t, shown.TextsRight, shown.Wide, "texts end before the edge, %s", font)
		require.Equal(t, []string{"4px 700", "3px"}, []string{shown.TitleSize, shown.NameSize})
		require.Equal(t, []string{"rgb(0, 0, 0) 0.55px", "rgb(190, 190, 190)"}, []string{shown.Interval, shown.Pale})
		require.Equal(t, 4, shown.Dots, "three pairs, and one in the key")
		require.Equal(t, 4, shown.Lozenges, "as many")
	}
}
