package symbol

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// code is fourteen digits as they stand in a symbol.
const code = "26329004001763"

func encoded(t testing.TB, kind Kind, text string) Modules {
	t.Helper()
	m, err := Encode(kind, text)
	require.NoError(t, err)
	return m
}

func kinds() []Kind { return []Kind{QR, DataMatrix, Code128} }

func TestParseKind(t *testing.T) {
	for _, test := range []struct {
		name   string
		want   Kind
		reason string
	}{
		{"qr", QR, "as it is written"},
		{"datamatrix", DataMatrix, "as it is written"},
		{"code128", Code128, "as it is written"},
		{"QR", QR, "capitals"},
		{"DataMatrix", DataMatrix, "mixed case"},
		{"", 0, "nothing"},
		{"none", 0, "the zero Kind is no symbol"},
		{"ean13", 0, "a symbol that is not made here"},
		{"qr ", 0, "a space"},
	} {
		t.Run(test.reason+" "+test.name, func(t *testing.T) {
			kind, err := ParseKind(test.name)
			require.Equal(t, test.want, kind)
			if test.want == 0 {
				require.ErrorContains(t, err, "is not a kind of symbol")
				require.Equal(t, "use qr, datamatrix or code128", err.(interface{ Hint() string }).Hint())
				return
			}
			require.NoError(t, err)
		})
	}
	for _, kind := range kinds() {
		again, err := ParseKind(kind.String())
		require.NoError(t, err)
		require.Equal(t, kind, again)
	}
	require.Equal(t, "none", Kind(0).String())
}

func TestQuiet(t *testing.T) {
	for _, test := range []struct {
		kind   Kind
		x, y   int
		source string
	}{
		{QR, 4, 4, "ISO/IEC 18004 (seen)"},
		{DataMatrix, 1, 1, "ISO/IEC 16022 (seen)"},
		{Code128, 10, 0, "ISO/IEC 15417, by way of public pages (secondary)"},
	} {
		m := encoded(t, test.kind, code)
		require.Equal(t, test.kind, m.Kind())
		x, y := m.Quiet()
		require.Equal(t, [2]int{test.x, test.y}, [2]int{x, y}, test.source)
	}
	x, y := Modules{}.Quiet()
	require.Zero(t, x+y)
}

// Dark may be asked about the quiet zone, and says that it is light.
func TestDarkOutside(t *testing.T) {
	for _, kind := range kinds() {
		m := encoded(t, kind, code)
		require.True(t, m.Dark(0, m.Height()-1), "every kind is dark in that corner")
		for _, at := range [][2]int{{-1, 0}, {0, -1}, {m.Width(), 0}, {0, m.Height()}, {-1, 1}, {m.Width(), -1}} {
			require.False(t, m.Dark(at[0], at[1]), "%v %v", kind, at)
		}
	}
}
