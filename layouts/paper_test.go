package layouts

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPaperOf(t *testing.T) {
	for _, row := range []struct {
		reason       string
		stems, trays string
		want         Paper
	}{
		{"of the labels", "a4-5x13", "letter-2x2", A4},
		{"of the labels", "letter-2x10", "card-a6", Letter},
		{"labels from a roll: of the cards", "strip-30x180", "letter-2x2", Letter},
		{"neither says", "strip-30x180", "card-90x140", Letter},
	} {
		require.Equal(t, row.want, PaperOf(lookup(t, row.stems), lookup(t, row.trays)), row.reason)
	}
	for _, name := range []string{"a4", "A4", "Letter"} {
		paper, err := ParsePaper(name)
		require.NoError(t, err)
		require.True(t, strings.EqualFold(name, paper.String()))
		require.NoError(t, Page("session", paper.Size()).Check())
	}
	for _, name := range []string{"", "a5", "legal"} {
		_, err := ParsePaper(name)
		require.ErrorContains(t, err, "a4 or letter", name)
	}
}

func TestNearest(t *testing.T) {
	others := []Stock{lookup(t, "letter-2x10"), lookup(t, "strip-25x200"), lookup(t, "a4-3x8"), lookup(t, "letter-3x10"), lookup(t, "a4-2x7"), lookup(t, "strip-16x178")}
	for _, test := range []struct {
		reason, stock string
		paper         Paper
		want          []string
	}{
		{"sheets of A4, then rolls, then letter; of each the nearest in size", "a4-2x11", A4,
			[]string{"a4-3x8", "a4-2x7", "strip-16x178", "strip-25x200", "letter-2x10", "letter-3x10"}},
		{"for a roll rolls, then sheets of the user's paper", "strip-19x200", Letter,
			[]string{"strip-16x178", "strip-25x200", "letter-2x10", "letter-3x10", "a4-2x7", "a4-3x8"}},
	} {
		var names []string
		for _, s := range lookup(t, test.stock).Nearest(others, test.paper) {
			names = append(names, s.Name)
		}
		require.Equal(t, test.want, names, test.reason)
	}
}
