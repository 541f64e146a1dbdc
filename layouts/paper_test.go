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
