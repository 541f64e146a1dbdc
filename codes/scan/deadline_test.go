package scan_test

import (
	"context"
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

// hedge is a picture of 12 megapixels as a camera gives it, without a code:
// leaves of many shades over one another, with veins, and noise. It gives a
// reader much to look at.
func hedge() *image.YCbCr {
	const width, height, leaves = 4000, 3000, 2500
	random := rand.New(rand.NewPCG(17, 12))
	picture := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	for i := range picture.Cb {
		picture.Cb[i], picture.Cr[i] = 110, 115
	}
	for range leaves {
		middleX, middleY := random.IntN(width), random.IntN(height)
		long := 40 + 100*random.Float64()
		sin, cos := math.Sincos(2 * math.Pi * random.Float64())
		shade, slim, vein := 30+150*random.Float64(), 2+2*random.Float64(), 6+10*random.Float64()
		reach := int(long)
		for y := max(middleY-reach, 0); y < min(middleY+reach, height); y++ {
			for x := max(middleX-reach, 0); x < min(middleX+reach, width); x++ {
				dx, dy := float64(x-middleX), float64(y-middleY)
				along, across := dx*cos+dy*sin, math.Abs(dy*cos-dx*sin)
				if math.Hypot(along, across*slim) > long {
					continue
				}
				light := shade
				if across < 2 || math.Mod(along+across+2*long, 2*vein) < 2 {
					light += 40
				}
				picture.Y[y*picture.YStride+x] = byte(light)
			}
		}
	}
	for i := range picture.Y {
		picture.Y[i] = byte(min(max(int(picture.Y[i])+random.IntN(31)-15, 0), 255))
	}
	return picture
}

// withCode prints a QR code on a picture, its corner at a place and with modules
// of so many pixels.
func withCode(t testing.TB, picture *image.YCbCr, at image.Point, text string, module int) {
	t.Helper()
	modules, err := symbol.Encode(symbol.QR, text)
	require.NoError(t, err)
	quiet, _ := modules.Quiet()
	side := modules.Width() + 2*quiet
	for y := range side * module {
		for x := range side * module {
			column, row := x/module-quiet, y/module-quiet
			light := byte(230)
			if min(column, row) >= 0 && max(column, row) < modules.Width() && modules.Dark(column, row) {
				light = 25
			}
			picture.Y[picture.YOffset(at.X+x, at.Y+y)] = light
		}
	}
}

// TestPhotographKeepsItsDeadline: a picture that gives much to look at is left
// when the time is up. It must not run beside others. One of a few tries must
// be in time, as other processes may have the processors.
func TestPhotographKeepsItsDeadline(t *testing.T) {
	const limit, late, tries = 200 * time.Millisecond, 250 * time.Millisecond, 3
	dusk := errors.New("it is getting dark")
	picture := hedge()
	for name, test := range map[string]struct {
		begin func() (context.Context, context.CancelFunc)
		want  error
	}{
		"a deadline": {func() (context.Context, context.CancelFunc) {
			return context.WithTimeout(t.Context(), limit)
		}, context.DeadlineExceeded},
		"a deadline with a cause": {func() (context.Context, context.CancelFunc) {
			return context.WithTimeoutCause(t.Context(), limit, dusk)
		}, dusk},
	} {
		least := time.Hour
		for range tries {
			ctx, cancel := test.begin()
			begin := time.Now()
			reading, err := scan.Photograph(ctx, picture, isCode)
			took := time.Since(begin)
			cancel()
			require.ErrorIs(t, err, test.want, "%s: the picture takes longer than that", name)
			require.Empty(t, reading.Found, "%s: there is no code", name)
			if least = min(least, took); least < limit+late {
				break
			}
		}
		require.Less(t, least, limit+late, name)
		t.Logf("%s of %v: back after %v", name, limit, least)
	}
}

// TestPhotographGivesWhatItFound: when the time is up, what was read until then
// is given, and nothing that does not stand there.
func TestPhotographGivesWhatItFound(t *testing.T) {
	enough := errors.New("the person has seen enough")
	picture := hedge()
	texts := []string{"27054001000183", "27054001000280", "27054001000377"}
	for i, text := range texts {
		require.True(t, isCode(text), text)
		withCode(t, picture, image.Pt(400+1000*i, 600+700*i), text, 8)
	}
	ctx, cancel := context.WithCancelCause(t.Context())
	defer cancel(nil)
	first := ""
	reading, err := scan.Photograph(ctx, picture, func(text string) bool {
		if !isCode(text) {
			return false
		}
		if first == "" {
			first = text
			cancel(enough)
		}
		return true
	})
	require.ErrorIs(t, err, enough)
	require.NotEmpty(t, first)
	var read []string
	for _, found := range reading.Found {
		read = append(read, found.Text)
	}
	require.Contains(t, read, first)
	require.Subset(t, texts, read)
}
