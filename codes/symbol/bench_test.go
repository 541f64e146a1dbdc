package symbol

import "testing"

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

func BenchmarkFit(b *testing.B) {
	m := encoded(b, Code128, code)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Fit(bent(12, 40, AcrossWidth, 8), 300, 0); err != nil {
			b.Fatal(err)
		}
	}
}
