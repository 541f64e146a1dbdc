package scan

import (
	"context"
	"fmt"
	"image"
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkPictureSheet(b *testing.B) {
	for _, kind := range kinds() {
		s := smallLabels(kind, 300, 3, false).draw(b)
		b.Run(fmt.Sprintf("%s of 65 at 300 dpi", kind), func(b *testing.B) {
			for b.Loop() {
				founds, err := Picture(context.Background(), s.page, nil)
				require.NoError(b, err)
				require.Len(b, founds, 65)
			}
		})
	}
}

func BenchmarkPictureWithoutSymbol(b *testing.B) {
	const width, height = 4000, 3000
	text := canvas(width, height)
	w := newWriter(b, 300)
	for y := 20; y < height-50; y += 38 {
		w.write(text, image.Pt(20, y), 8, "'Long Meadow Russet' / M 26, stem 17 of 64, stuck on 2026-03-01, 26329-004-0017-42; to be kept under mist until new growth begins, three weeks at least; then hardened off. HILL, LEFT, FILE, 0123456789, 0123456789, 0123456789, 0123456789")
	}
	for name, page := range map[string]*image.Gray{
		"blank": canvas(width, height),
		"text":  text,
		"noise": noisy(faded(canvas(width, height), 0, 128), 60, 1),
	} {
		b.Run(name+" of 12 megapixels", func(b *testing.B) {
			for b.Loop() {
				founds, err := Picture(context.Background(), page, nil)
				require.NoError(b, err)
				require.Empty(b, founds)
			}
		})
	}
}

func BenchmarkPages(b *testing.B) {
	r := renderer(b)
	file, _ := labelPDF(b, QR, 0.254, 1, 65)
	for _, dpi := range []float64{203.2, 300, 600} {
		b.Run(fmt.Sprintf("A4 at %v dpi", dpi), func(b *testing.B) {
			for b.Loop() {
				for _, err := range r.Pages(context.Background(), file, dpi) {
					require.NoError(b, err)
				}
			}
		})
	}
}
