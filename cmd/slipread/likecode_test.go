package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A line that is meant as a code must not be taken for counts, nor counts for a
// code: what is said behind it would be of other plants.
func TestLikeCode(t *testing.T) {
	for _, row := range []struct {
		reason, line string
		like         bool
	}{
		{"a wrong digit", "26313-001-9001-24", true},
		{"an unknown digit", "26313-001-90?1-23", true},
		{"too many unknown digits to repair", "26313-???-????-23", true},
		{"half of a code", "26313-001", true},
		{"a code with spaces", "26313 001 9001 24", true},
		{"letters for digits", "263I3-OO1-9001-23", true},
		{"a wrong code with counts behind it", "26313-001-9001-24 34 alive 12 growing", true},
		{"a link that is no code's", "https://labels.example/2631300190012", true},
		{"a count", "34", false},
		{"counts with a letter that is wrong", "34a 12x 5r 2d", false},
		{"counts with a word that is wrong", "34 alive 12 growng 2 dead", false},
		{"a word", "growing", false},
	} {
		t.Run(row.reason, func(t *testing.T) { require.Equal(t, row.like, likeCode(row.line)) })
	}
}
