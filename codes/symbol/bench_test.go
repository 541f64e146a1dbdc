package symbol

import (
	"math/rand/v2"
	"testing"

	boombuler "github.com/boombuler/barcode/qr"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"rsc.io/qr/coding"
)

func BenchmarkEncode(b *testing.B) {
	for _, kind := range kinds() {
		b.Run(kind.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Encode(kind, code); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkQR has, for texts that fill a version: a whole Encode, its two parts,
// what another encoder takes for drawing alone and another decoder for reading
// alone, and the first symbol of a version and level, which needs a plan.
func BenchmarkQR(b *testing.B) {
	for _, version := range []coding.Version{1, 2, 5, 10, 11, 12, 20, 27, 40} {
		text := textIn(rand.New(rand.NewPCG(1, 1)), numericMode, most(numericMode, version, coding.H))
		if version == 1 {
			text = code
		}
		m := encoded(b, QR, text)
		for _, part := range []struct {
			name string
			do   func() error
		}{
			{"encode", func() error { _, err := Encode(QR, text); return err }},
			{"draw", func() error { _, err := draw(QR, text); return err }},
			{"verify", func() error { return verify(m, text) }},
			{"first", func() error { _, err := new(qrEncoder).draw(text); return err }},
			{"boombuler", func() error { _, err := boombuler.Encode(text, boombuler.H, boombuler.Numeric); return err }},
			{"gozxing", func() error {
				matrix, err := matrixOf(m) // which the decoder changes
				if err == nil {
					_, err = decoder.NewDecoder().DecodeWithoutHint(matrix)
				}
				return err
			}},
		} {
			b.Run(version.String()+"-H/"+part.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := part.do(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkFit(b *testing.B) {
	m := encoded(b, Code128, code)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Fit(bent(12, 40, AcrossWidth, 8), 300, 0); err != nil {
			b.Fatal(err)
		}
	}
}
