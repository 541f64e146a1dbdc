package proof_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

// BenchmarkFile proves whole sheets and reports the time for each.
func BenchmarkFile(b *testing.B) {
	r := renderer(b)
	for _, bench := range []struct {
		stock  string
		dpi    float64
		sheets int
		change func(*session)
	}{
		{"letter-2x10", 300, 4, nil},
		{"letter-2x10", 600, 2, nil},
		{"a4-4x10", 300, 4, func(s *session) { s.options.Wrap, s.options.Stem.Diameter = layouts.Band, 12 }},
		{"strip-25x200", 203, 40, nil},
	} {
		b.Run(fmt.Sprintf("%s at %v dpi", bench.stock, bench.dpi), func(b *testing.B) {
			s := newSession(b, bench.stock, bench.dpi)
			if bench.change != nil {
				bench.change(s)
			}
			s.each = bench.sheets * s.options.Stock.Count() / len(s.batches)
			for i := range s.batches {
				s.batches[i].Grafts = s.each
			}
			slips := s.slips(b)
			file := s.write(b, slips)
			for b.Loop() {
				report, err := s.check().File(context.Background(), r, file, nil)
				require.NoError(b, err)
				require.Equal(b, len(slips), report.Read)
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N*bench.sheets), "s/sheet")
		})
	}
}
