package photos

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
)

// TestPhotographs prints once for all that is photographed.
func TestPhotographs(t *testing.T) {
	s, err := Print(context.Background())
	require.NoError(t, err)
	t.Run("codes", s.testCodes)
	t.Run("same arguments, same bytes", s.testSame)
	t.Run("corners", s.testCorners)
	t.Run("tray", s.testTray)
	t.Run("refused", s.testRefused)
	t.Run("where a symbol stands", s.testStand)
	t.Run("shares", s.testShares)
}

func kinds() []symbol.Kind { return []symbol.Kind{symbol.QR, symbol.DataMatrix, symbol.Code128} }

// testCodes: enough codes of each kind, and every one once.
func (s *Slips) testCodes(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds() {
		stems, cards := map[string]bool{}, map[string]bool{}
		for _, cut := range s.bySymbol[kind.String()] {
			seen := stems
			if cut.card {
				seen = cards
			}
			require.False(t, seen[cut.text], "%s twice", cut.text)
			seen[cut.text] = true
		}
		require.GreaterOrEqual(t, len(stems), 60, "%v", kind)
		require.GreaterOrEqual(t, len(cards), 2, "%v", kind)
	}
}

func (s *Slips) testSame(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, kind := range Kinds() {
		one, err := s.Take(kind, "qr", 0.2, 5)
		require.NoError(t, err)
		two, err := s.Take(kind, "qr", 0.2, 5)
		require.NoError(t, err)
		require.Equal(t, one, two, "%s", kind)
		require.False(t, seen[string(one.JPEG)], "%s looks like another kind", kind)
		seen[string(one.JPEG)] = true
	}
	one, err := s.Tray("datamatrix", 12, 1, 3)
	require.NoError(t, err)
	two, err := s.Tray("datamatrix", 12, 1, 3)
	require.NoError(t, err)
	require.Equal(t, one, two)
	one, err = s.Empty(0.3, 3)
	require.NoError(t, err)
	two, err = s.Empty(0.3, 3)
	require.NoError(t, err)
	require.Equal(t, one, two)
	require.Empty(t, one.Codes)
}

// wrongModules is the share of modules that are not seen as the encoder makes
// them, between the corners that a photograph tells, whose first is moved on by
// some corners.
func wrongModules(t *testing.T, picture image.Image, code Code, kind symbol.Kind, light bool, on int) float64 {
	t.Helper()
	modules, err := symbol.Encode(kind, code.Text)
	require.NoError(t, err)
	var corners [4]point
	for i := range corners {
		c := code.Corners[(i+on)%4]
		corners[i] = point{c[0], c[1]}
	}
	var seen, dark, lighter []float64
	for y := range modules.Height() {
		for x := range modules.Width() {
			p := projected(corners, (float64(x)+0.5)/float64(modules.Width()), (float64(y)+0.5)/float64(modules.Height()))
			at := luma(picture, p)
			seen = append(seen, at)
			if modules.Dark(x, y) != light {
				dark = append(dark, at)
			} else {
				lighter = append(lighter, at)
			}
		}
	}
	middle := (mean(dark) + mean(lighter)) / 2
	wrong := 0
	for i, at := range seen {
		if (at < middle) != (modules.Dark(i%modules.Width(), i/modules.Width()) != light) {
			wrong++
		}
	}
	return float64(wrong) / float64(len(seen))
}

// projected maps the unit square to four corners, as a flat sheet is seen.
func projected(c [4]point, u, v float64) point {
	side := c[0].minus(c[1]).plus(c[2]).minus(c[3])
	one, two := c[1].minus(c[2]), c[3].minus(c[2])
	cross := func(a, b point) float64 { return a.x*b.y - a.y*b.x }
	g, h := cross(side, two)/cross(one, two), cross(one, side)/cross(one, two)
	down := g*u + h*v + 1
	across := c[1].minus(c[0]).plus(c[1].times(g)).times(u)
	return c[0].plus(across).plus(c[3].minus(c[0]).plus(c[3].times(h)).times(v)).times(1 / down)
}

// luma is the light of a place, between pixels.
func luma(picture image.Image, p point) float64 {
	x, y := math.Floor(p.x-0.5), math.Floor(p.y-0.5)
	px, py := p.x-0.5-x, p.y-0.5-y
	at := func(dx, dy int) float64 {
		return float64(picture.(*image.YCbCr).YCbCrAt(int(x)+dx, int(y)+dy).Y)
	}
	return (at(0, 0)*(1-px)+at(1, 0)*px)*(1-py) + (at(0, 1)*(1-px)+at(1, 1)*px)*py
}

func mean(values []float64) (sum float64) {
	for _, v := range values {
		sum += v / float64(len(values))
	}
	return sum
}

// testCorners: between the corners stand the modules that the encoder makes,
// and turned by a quarter they do not.
func (s *Slips) testCorners(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind   Kind
		light  bool
		reason string
	}{
		{Plain, false, "turned a little"},
		{Turned, false, "any way up"},
		{Perspective, false, "sides of a square are of several lengths"},
		{Inverted, true, "light modules on dark"},
		{Motion, false, "a smear goes to both sides"},
		{OutOfFocus, false, "blur does not shift"},
	} {
		for _, kind := range kinds() {
			for seed := range uint64(2) {
				photo, err := s.Take(c.kind, kind.String(), 0.8, seed)
				require.NoError(t, err)
				picture, err := jpeg.Decode(bytes.NewReader(photo.JPEG))
				require.NoError(t, err)
				require.Equal(t, photo.Size, picture.Bounds().Size())
				most := 0.01
				if c.kind == Motion || c.kind == OutOfFocus {
					most = 0.25 // neighbours run into each other
				}
				require.LessOrEqual(t, wrongModules(t, picture, photo.Codes[0], kind, c.light, 0), most, "%s %v %d: %s", c.kind, kind, seed, c.reason)
				require.Greater(t, wrongModules(t, picture, photo.Codes[0], kind, c.light, 1), 0.25, "%s %v %d", c.kind, kind, seed)
			}
		}
	}
}

func (s *Slips) testTray(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds() {
		photo, err := s.Tray(kind.String(), 12, 2, 8)
		require.NoError(t, err)
		picture, err := jpeg.Decode(bytes.NewReader(photo.JPEG))
		require.NoError(t, err)
		texts := map[string]bool{}
		for _, code := range photo.Codes {
			texts[code.Text] = true
			require.GreaterOrEqual(t, code.Module, float64(leastTrayModule))
			for _, c := range code.Corners {
				require.True(t, image.Pt(int(c[0]), int(c[1])).In(picture.Bounds()), "%v", c)
			}
			require.LessOrEqual(t, wrongModules(t, picture, code, kind, false, 0), 0.04, "specks of dirt cover few modules")
		}
		require.Len(t, texts, 12)
	}
}

func (s *Slips) testRefused(t *testing.T) {
	t.Parallel()
	_, err := s.Take("upside down", "qr", 2, 1)
	require.ErrorContains(t, err, "upside down")
	_, err = s.Take(Plain, "runes", 2, 1)
	require.ErrorContains(t, err, "runes")
	_, err = s.Take(Plain, "qr", math.NaN(), 1)
	require.ErrorContains(t, err, "megapixels")
	_, err = s.Tray("qr", 1000, 2, 1)
	require.ErrorContains(t, err, "1000")
	var room *RoomError
	_, err = s.Tray("code128", 65, 1, 1)
	require.ErrorAs(t, err, &room)
}
