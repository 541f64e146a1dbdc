package symbol

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzEncode: no text makes Encode panic; a symbol that it gives out reads as
// its text, and a text that it refuses is refused as one that the symbol cannot
// hold or as one that did not read back.
func FuzzEncode(f *testing.F) {
	for _, seed := range []string{
		code, "012", "+12", "26329-004-0017-63", "HELLO WORLD", "PJJ123C", "Käthe × Σίβυλλα", "\x00\x1d\x7f", "ñ1234", "a\xffb", "",
	} {
		for _, kind := range kinds() {
			f.Add(uint8(kind), seed)
		}
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		if len(text) > 300 {
			t.Skip("long texts take long and show nothing new")
		}
		m, err := Encode(Kind(kind%4), text)
		if err != nil {
			require.Equal(t, Modules{}, m)
			if !errors.Is(err, ErrText) && !errors.Is(err, ErrReadBack) {
				require.Zero(t, kind%4, err)
			}
			return
		}
		require.Equal(t, Kind(kind%4), m.Kind())
		text2, err := read(m)
		require.NoError(t, err)
		require.Equal(t, text, text2)
	})
}
