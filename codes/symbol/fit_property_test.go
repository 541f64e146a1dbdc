package symbol

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// fits says in its own way whether m, turned or not, with modules of so many
// mm, fits the room: the angle at the outermost dark module is worked out in
// degrees, as the 30° rule is written.
func fits(m Modules, room Room, turned bool, module float64) bool {
	const hair = 2e-6 // mm
	x, y := m.Quiet()
	dark := [2]float64{float64(m.Width()) * module, float64(m.Height()) * module}
	whole := [2]float64{float64(m.Width()+2*x) * module, float64(m.Height()+2*y) * module}
	bars := m.Kind() == Code128
	if bars {
		whole[1] = 5 // mm, the shortest bars
		dark[1] = 0  // bars that run round the curve have no limit
	}
	if turned {
		dark[0], dark[1] = dark[1], dark[0]
		whole[0], whole[1] = whole[1], whole[0]
	}
	if whole[0] > room.Width+hair || whole[1] > room.Height+hair {
		return false
	}
	across := 0.0
	switch room.Around {
	case AcrossWidth:
		across = dark[0]
	case AcrossHeight:
		across = dark[1]
	default:
		return true
	}
	angle := across / room.Diameter * 180 / math.Pi // half the arc over the radius
	return angle <= 30+1e-4
}

// The result never exceeds the room, is a whole number of dots, and one dot
// more would not fit; it is refused only where the fewest dots that make 0.25
// mm do not fit, and then the room that the error asks for is enough.
func TestFitProperties(t *testing.T) {
	random := rand.New(rand.NewPCG(30, 5))
	symbols := []Modules{
		encoded(t, QR, code), encoded(t, DataMatrix, code), encoded(t, Code128, code),
		encoded(t, QR, "http://bench.example/26329004001763"), encoded(t, Code128, "A1"),
	}
	pick := func(from ...float64) float64 { return from[random.IntN(len(from))] }
	var given, refused, turned, limited int
	for range 40_000 {
		m := symbols[random.IntN(len(symbols))]
		dpi := pick(203, 203.2, 300, 600, 1200, 72, 90+random.Float64()*1000)
		room := Room{
			Width:    random.Float64() * pick(8, 15, 60),
			Height:   random.Float64() * pick(8, 15, 60),
			Around:   Axis(random.IntN(3)),
			Diameter: 2 + random.Float64()*pick(10, 30, 100),
		}
		if random.IntN(3) == 0 { // a room of a whole number of dots, to the last bit
			columns, _ := m.withQuiet()
			room.Width = float64(columns) * float64(1+random.IntN(20)) * Dot(dpi)
		}
		dot := Dot(dpi)
		least := 1
		for float64(least)*dot < 0.25-1e-6 {
			least++
		}
		most := 0.0
		if random.IntN(3) == 0 {
			most = float64(least)*dot + random.Float64()
			limited++
		}

		fitted, err := m.Fit(room, dpi, most)
		if err != nil {
			refused++
			var reason *RoomError
			require.ErrorAs(t, err, &reason)
			require.InDelta(t, float64(least)*dot, reason.Least, 1e-9)
			require.False(t, fits(m, room, false, reason.Least-1e-5), "%v %v", err, room)
			require.False(t, m.Kind() == Code128 && fits(m, room, true, reason.Least-1e-5), "%v %v", err, room)

			enough := Room{reason.Width, reason.Height, room.Around, max(room.Diameter, reason.Diameter)}
			again, err := m.Fit(enough, dpi, most)
			require.NoError(t, err, "%v", enough)
			require.Equal(t, least, again.Dots)
			continue
		}
		given++
		module := float64(fitted.Dots) * dot
		require.InDelta(t, module, fitted.Module, 1e-9)
		require.GreaterOrEqual(t, fitted.Dots, least)
		require.Equal(t, module < 0.33-1e-6, fitted.Small)
		require.LessOrEqual(t, fitted.Width, room.Width+1e-5)
		require.LessOrEqual(t, fitted.Height, room.Height+1e-5)
		require.True(t, fits(m, room, fitted.Turned, module))
		larger := module + dot
		require.True(t, most > 0 && larger > most+1e-9 || !fits(m, room, fitted.Turned, larger-1e-5), "%v %+v", room, fitted)
		require.False(t, most > 0 && module > most+1e-5)
		if fitted.Turned {
			turned++
			require.Equal(t, Code128, m.Kind())
			require.False(t, fits(m, room, false, float64(least)*dot-1e-5), "turned without need")
		}
		if m.Kind() == Code128 {
			other := room.Height
			if fitted.Turned {
				other = room.Width
			}
			require.Equal(t, math.Min(other, 12), fitted.Bar)
		} else {
			require.Zero(t, fitted.Bar)
		}
	}
	t.Logf("rooms: %d given, of them %d turned; %d refused; %d with a largest module", given, turned, refused, limited)
	require.Greater(t, given, 5000)
	require.Greater(t, refused, 5000)
	require.Greater(t, turned, 500)
}
