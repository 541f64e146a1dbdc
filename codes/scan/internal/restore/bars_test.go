package restore

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/boombuler/barcode/code128"
	"github.com/stretchr/testify/require"
)

// lightOf is a printed Code 128: -1 for a bar, 1 for a space.
func lightOf(t *testing.T, text string) []float64 {
	b, err := code128.Encode(text)
	require.NoError(t, err)
	light := make([]float64, b.Bounds().Dx())
	for x := range light {
		light[x] = -1
		if v, _, _, _ := b.At(x, 0).RGBA(); v != 0 {
			light[x] = 1
		}
	}
	return light
}

// whole is sure of everything.
func whole(light []float64) []float64 {
	sure := make([]float64, len(light))
	for i := range sure {
		sure[i] = 1
	}
	return sure
}

func TestBarWidths(t *testing.T) {
	for value := range 100 {
		text := fmt.Sprintf("%02d%02d", value, 99-value)
		light := lightOf(t, text)
		require.Len(t, light, BarsWidth(len(text)))
		read, certain := NewBars().Read(light, whole(light))
		require.Equal(t, text, read)
		require.True(t, certain)
		for _, bar := range FixedBars(len(light)) {
			require.Equal(t, bar.Dark, light[bar.At] < 0)
		}
	}
	for value := range stopOfBars {
		sum := 0
		for _, width := range barWidths(value) {
			sum += int(width - '0')
		}
		require.Equal(t, barsCharacter, sum, "%d: each character is eleven modules wide", value)
	}
}

// TestBlurredBars mixes each module with its neighbours and adds chance.
func TestBlurredBars(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 128))
	read, wrong, bars := 0, 0, NewBars()
	const rounds = 1000
	for range rounds {
		text := fmt.Sprintf("%014d", random.Int64N(1e14))
		light := lightOf(t, text)
		seen := make([]float64, len(light))
		for i, v := range light {
			before, after := 1.0, 1.0
			if i > 0 {
				before = light[i-1]
			}
			if i < len(light)-1 {
				after = light[i+1]
			}
			seen[i] = 0.5*v + 0.25*before + 0.25*after + 0.15*random.NormFloat64()
		}
		switch got, _ := bars.Read(seen, whole(seen)); got {
		case text:
			read++
		case "":
		default:
			wrong++
		}
	}
	t.Logf("%d of %d read, %d wrong", read, rounds, wrong)
	require.Greater(t, read, rounds*8/10)
	require.LessOrEqual(t, wrong, rounds/200, "the check character lets some pass, which the check digits refuse")
}

func TestBarsOfChance(t *testing.T) {
	random := rand.New(rand.NewPCG(26329, 129))
	light := make([]float64, BarsWidth(14))
	passed, bars := 0, NewBars()
	for range 5000 {
		for i := range light {
			light[i] = float64(2*random.IntN(2) - 1)
		}
		if got, _ := bars.Read(light, whole(light)); got != "" {
			passed++
		}
	}
	require.LessOrEqual(t, passed, 5, "the check character alone would let 50 pass")
	t.Logf("%d of 5000 fields of chance were read as something", passed)
	for _, n := range []int{0, 50} {
		text, _ := NewBars().Read(make([]float64, n), make([]float64, n))
		require.Empty(t, text, "%d modules are no whole number of characters", n)
	}
}

// TestLostCharacter covers each character in turn, as glare does.
func TestLostCharacter(t *testing.T) {
	const text = "26329004001763"
	light := lightOf(t, text)
	for character := range 10 {
		sure := whole(light)
		for i := range barsCharacter {
			sure[character*barsCharacter+i] = 0
		}
		got, certain := NewBars().Read(light, sure)
		require.Equal(t, text, got, "character %d", character)
		require.Equal(t, character == 0 || character == 9, certain, "start and stop carry no text; character %d", character)
		if character == 0 || character == 9 {
			continue
		}
		// A second one that is lost cannot be worked out.
		for i := range barsCharacter {
			sure[(character%8+1)*barsCharacter+i] = 0
		}
		if (character%8)+1 != character {
			got, _ = NewBars().Read(light, sure)
			require.Empty(t, got, "characters %d and %d", character, character%8+1)
		}
	}
}
