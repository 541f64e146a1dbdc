package records

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEdits(t *testing.T) {
	for _, row := range []struct {
		reason, a, b string
		edits        int
	}{
		{"the same", "amber", "amber", 0},
		{"nothing", "", "amber", 5},
		{"a letter more", "amber", "ambber", 1},
		{"a letter less", "amber", "ambe", 1},
		{"another letter", "amber", "umber", 1},
		{"an umlaut is one letter", "grun", "grün", 1},
		{"two letters swapped", "amber", "abmer", 1},
		{"three: no part is edited twice (Navarro 2001, section 2.1; memory)", "ca", "abc", 3},
		{"three (Levenshtein's usual example; memory)", "kitten", "sitting", 3},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.Equal(t, row.edits, Edits(row.a, row.b))
			require.Equal(t, row.edits, Edits(row.b, row.a))
		})
	}
}
