package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

func TestOwnStock(t *testing.T) {
	for _, test := range []struct{ reason, text, grid string }{
		{"every measure", "medium = \"card\"\npaper = \"letter\"\ncolumns = 2\nrows = 2\nlabel = \"4x5in\"\npitch = \"4.1x5.2in\"\nmargin = \"0.1x0.2in\"",
			"card-letter-2x2:101.6x127@104.14x132.08+2.54x5.08mm"},
		{"a label alone", `label = "12 x 80 mm"`, "12x80-1x1:12x80mm"},
		{"paper of its own, and thirds of an inch to a ten thousandth of a mm", "paper = \"200x300mm\"\nrows = 3\nlabel = \"50mm × 2 1/3 in\"", "200x300-1x3:50x59.2667mm"},
	} {
		stock, err := parseOwnStock("Pots", test.text)
		require.NoError(t, err, test.reason)
		require.Equal(t, "pots", stock.Name, test.reason)
		require.Equal(t, "pots="+test.grid, stock.FullName(), test.reason)
	}
}

// Whatever blocks one file is an error of that file alone.
func TestOwnStockFiles(t *testing.T) {
	folder := t.TempDir()
	t.Setenv(SettingsVariable, filepath.Join(folder, "settings.toml"))
	stocks, err := OwnStocks()
	require.NoError(t, err, "nobody needs the folder")
	require.Empty(t, stocks)

	files := filepath.Join(folder, "label-stock")
	require.NoError(t, os.Mkdir(files, 0o777))
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(files, name), []byte(text), 0o666))
	}
	write("pots.toml", `label = "60x30mm"`)
	write("huge.toml", strings.Repeat("# many words\n", 2000))
	write("my pots.toml", `label = "60x30mm"`)
	write("notes.txt", "not label stock")
	stocks, err = OwnStocks()
	require.Len(t, stocks, 1)
	require.Equal(t, "pots", stocks[0].Name)
	faults := Flatten(err)
	require.Len(t, faults, 2)
	require.ErrorContains(t, faults[0], "huge.toml: it is larger than 16 KB")
	require.ErrorContains(t, faults[1], `"my pots" cannot name label stock`)
	found, err := LookupStock(" POTS ")
	require.NoError(t, err)
	require.Equal(t, stocks[0].Stock, found)
	_, err = LookupStock("../label-stock/pots")
	require.ErrorContains(t, err, "there is no label stock", "a name is no path")
}

// A text of any kind is refused, or is label stock whose full name gives it again.
func FuzzOwnStock(f *testing.F) {
	for _, seed := range []string{
		"paper = \"a4\"\ncolumns = 4\nrows = 12\nlabel = \"48.5x21.2mm\"\npitch = \"51x21.2mm\"\nmargin = \"4.2x21.3mm\"", `label = "1/3x2 1/3in"`,
		"label = \"12x80mm\"\nmedium = \"roll\"", "columns = -1\nlabel = \"9x9mm\"", "label = [\"9x9mm\"]", "label = \"0.00001x9mm\"", "[label]\nx = 1",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		stock, err := parseOwnStock("mine", text)
		if err != nil {
			return
		}
		require.NoError(t, stock.Check())
		again, err := layouts.Lookup(stock.FullName())
		require.NoError(t, err)
		require.Equal(t, stock, again)
	})
}
