package proof

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSays(t *testing.T) {
	for _, test := range []struct {
		reason string
		words  string
		texts  []string
		want   bool
	}{
		{"one text", "17 of 60", []string{"2026-11-25", "17 of 60"}, true},
		{"with others in one text", "17 of 60", []string{"2026-11-25   17 of 60"}, true},
		{"the others", "2026-11-25", []string{"2026-11-25   17 of 60"}, true},
		{"broken into lines", "Check for new growth from 2026-12-16", []string{"Check for new", "growth from", "2026-12-16"}, true},
		{"before a comma", "Tray 1 of 2", []string{"Tray 1 of 2, stems 1–30"}, true},
		{"behind a comma, at the end of a sentence", "stems 1–30", []string{"Tray 1 of 2, stems 1–30."}, true},
		{"in brackets", "stems 1–30", []string{"Tray 1 of 2 (stems 1–30)"}, true},
		{"a space that does not break", "3 of 9", []string{"3\u00a0of\u00a09"}, true},
		{"behind a number that is longer", "3 of 9", []string{"13 of 9", "3 of 9"}, true},
		{"a longer number", "3 of 9", []string{"13 of 9"}, false},
		{"of a longer number", "3 of 9", []string{"3 of 90"}, false},
		{"another number", "3 of 9", []string{"1 of 9"}, false},
		{"a longer range", "stems 1–3", []string{"stems 1–30"}, false},
		{"a number that begins with it", "3 of 9", []string{"3 of 9.5"}, false},
		{"a number that ends with it", "3 of 9", []string{"2,3 of 9"}, false},
		{"an ordinal date in a longer one", "2026-329", []string{"2026-329-1"}, false},
		{"in another order", "3 of 9", []string{"of 9", "3"}, false},
		{"without its spaces", "3 of 9", []string{"3of9"}, false},
		{"nothing in print", "spare", nil, false},
	} {
		require.Equal(t, test.want, contains(test.texts, test.words), test.reason)
	}
}
