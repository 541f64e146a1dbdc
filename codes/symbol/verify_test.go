package symbol

import (
	"fmt"
	"image"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// moved returns m with its modules moved: the module at x, y comes from
// from(x, y).
func moved(m Modules, width, height int, from func(x, y int) (int, int)) Modules {
	changed := Modules{kind: m.kind, width: width, height: height}
	for y := range height {
		for x := range width {
			changed.dark = append(changed.dark, m.Dark(from(x, y)))
		}
	}
	return changed
}

// flipped returns m with the modules of an area inverted.
func flipped(m Modules, area image.Rectangle) Modules {
	changed := m
	changed.dark = append([]bool(nil), m.dark...)
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			changed.dark[y*m.width+x] = !changed.dark[y*m.width+x]
		}
	}
	return changed
}

func TestVerifyRefusesAnotherText(t *testing.T) {
	const other = "26329004001860"
	for _, kind := range kinds() {
		m := encoded(t, kind, code)
		require.NoError(t, verify(m, code))

		err := verify(m, other)
		require.ErrorIs(t, err, ErrReadBack)
		require.EqualError(t, err, fmt.Sprintf("the %s symbol made for %q reads back as %q", kind, other, code))
		require.NotEmpty(t, err.(interface{ Hint() string }).Hint())
	}
}

func TestVerifyRefusesBrokenModules(t *testing.T) {
	for _, test := range []struct {
		kind   Kind
		change func(Modules) Modules
		reason string
	}{
		{QR, func(m Modules) Modules { return flipped(m, image.Rect(9, 9, 21, 21)) }, "most of the data lost"},
		{DataMatrix, func(m Modules) Modules { return flipped(m, image.Rect(2, 2, 10, 10)) }, "most of the data lost"},
		{Code128, func(m Modules) Modules { return flipped(m, image.Rect(24, 0, 25, 1)) }, "a single module"},
		{Code128, func(m Modules) Modules { return flipped(m, image.Rect(111, 0, 112, 1)) }, "the last bar thinner, which this decoder would put up with"},
		{QR, mirrored, "mirrored, which this decoder would put up with"},
		{DataMatrix, mirrored, "mirrored"},
		{Code128, backwards, "backwards"},
		{DataMatrix, backwards, "backwards"},
		{QR, cropped, "the last column lost"},
		{DataMatrix, cropped, "the last column lost"},
		{Code128, cropped, "the last column lost"},
		{QR, vanished, "no modules"},
		{DataMatrix, vanished, "no modules"},
		{Code128, vanished, "no modules"},
		{QR, emptied, "nothing dark"},
		{DataMatrix, emptied, "nothing dark"},
		{Code128, emptied, "nothing dark"},
	} {
		t.Run(test.kind.String()+" "+test.reason, func(t *testing.T) {
			m := encoded(t, test.kind, code)
			err := verify(test.change(m), code)
			require.ErrorIs(t, err, ErrReadBack)
			require.ErrorContains(t, err, fmt.Sprintf("the %s symbol made for %q ", test.kind, code))
			require.NoError(t, verify(m, code), "the change was made to a copy")
		})
	}
}

func mirrored(m Modules) Modules {
	return moved(m, m.height, m.width, func(x, y int) (int, int) { return y, x })
}

func backwards(m Modules) Modules {
	return moved(m, m.width, m.height, func(x, y int) (int, int) { return m.width - 1 - x, y })
}

func cropped(m Modules) Modules {
	return moved(m, m.width-1, m.height, func(x, y int) (int, int) { return x, y })
}

func emptied(m Modules) Modules {
	return moved(m, m.width, m.height, func(int, int) (int, int) { return -1, -1 })
}

func vanished(m Modules) Modules { return Modules{kind: m.kind} }

// However many modules are wrong, a symbol passes only if it reads as its text.
func TestVerifyUnderDamage(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	passed, refused := 0, 0
	for _, kind := range kinds() {
		m := encoded(t, kind, code)
		for count := range 60 {
			damaged := m
			for range count {
				x, y := random.IntN(m.width), random.IntN(m.height)
				damaged = flipped(damaged, image.Rect(x, y, x+1, y+1))
			}
			err := verify(damaged, code)
			if err != nil {
				require.ErrorIs(t, err, ErrReadBack)
				refused++
				continue
			}
			passed++
			text, err := read(damaged)
			require.NoError(t, err)
			require.Equal(t, code, text)
		}
	}
	t.Logf("damaged symbols: restored %d, refused %d", passed, refused)
	require.NotZero(t, passed)
	require.NotZero(t, refused)
}

// An encoder that draws something else never gets past encode.
func TestEncodeWithBrokenEncoder(t *testing.T) {
	broken := map[string]drawer{
		"drops the last character": func(kind Kind, text string) (Modules, error) {
			return draw(kind, text[:len(text)-1])
		},
		"drops a leading zero": func(kind Kind, text string) (Modules, error) {
			return draw(kind, strings.TrimPrefix(text, "0"))
		},
		"exchanges two digits": func(kind Kind, text string) (Modules, error) {
			return draw(kind, text[1:2]+text[:1]+text[2:])
		},
		"draws nothing": func(kind Kind, text string) (Modules, error) {
			m, err := draw(kind, text)
			return emptied(m), err
		},
	}
	for name, draw := range broken {
		for _, kind := range kinds() {
			m, err := encode(kind, "01234567890127", draw)
			require.ErrorIs(t, err, ErrReadBack, "%s, %s", name, kind)
			require.Equal(t, Modules{}, m, "nothing is given out")
		}
	}
}
