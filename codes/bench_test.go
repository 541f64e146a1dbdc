package codes_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

func TestAllocations(t *testing.T) {
	code := must(t)(codes.Parse("26329-004-0017-63"))
	var text string
	for _, test := range []struct {
		name string
		want float64
		run  func()
	}{
		{"Parse, printed form", 0, func() { _, _ = codes.Parse("26329-004-0017-63") }},
		{"Parse, a scanner's line", 0, func() { _, _ = codes.Parse("\ufeff]Q126329004001763\r\n") }},
		{"Parse, wrong check digits", 0, func() { _, _ = codes.Parse("26329-004-0017-64") }},
		{"Parse, no shape", 0, func() { _, _ = codes.Parse("26329-004-00x7-63") }},
		{"String", 1, func() { text = code.String() }},
		{"Compact", 1, func() { text = code.Compact() }},
	} {
		require.Equal(t, test.want, testing.AllocsPerRun(100, test.run), test.name)
	}
	require.Equal(t, code.Compact(), text)
}

func BenchmarkParse(b *testing.B) {
	for _, test := range []struct{ name, text string }{
		{"printed", "26329-004-0017-63"},
		{"compact", "26329004001763"},
		{"scanner", "]Q126329004001763\r\n"},
		{"byte order mark", "\ufeff26329004001763"},
		{"dashes", "26329–004–0017–63"},
	} {
		b.Run(test.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := codes.Parse(test.text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkString(b *testing.B) {
	code := must(b)(codes.Parse("26329-004-0017-63"))
	b.ReportAllocs()
	for b.Loop() {
		_ = code.String()
	}
}

func BenchmarkCompact(b *testing.B) {
	code := must(b)(codes.Parse("26329-004-0017-63"))
	b.ReportAllocs()
	for b.Loop() {
		_ = code.Compact()
	}
}
