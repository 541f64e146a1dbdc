package labels_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
)

// A thickness that only some batches say is told of these alone.
func TestSessionThicknessInPart(t *testing.T) {
	thick, thicker := batch(2, "A", "B", 100), batch(3, "C", "B", 40)
	thick.Stem, thicker.Stem = 8, 9.5
	thick.Wood, thicker.Wood = 5, 2
	unsaid := batch(4, "D", "B", 8000)
	unsaid.Stem, unsaid.Wood = 0, 400
	for _, row := range []struct {
		reason  string
		batches []labels.SessionBatch
		want    string
	}{
		{"one of two", []labels.SessionBatch{thick, unsaid}, "Stock cuttings to take: 8505 (spare: 405); 105 of 8 mm, 8400 not given"},
		{"two of three, from thin to thick", []labels.SessionBatch{thick, thicker, unsaid}, "Stock cuttings to take: 8547 (spare: 407); 147 of 8 mm to 9.5 mm, 8400 not given"},
		{"all", []labels.SessionBatch{thick, thicker}, "Stock cuttings to take: 147 (spare: 7), 8 mm to 9.5 mm thick"},
	} {
		pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: row.batches}, sessionOptions(t))
		require.NoError(t, err)
		text := strings.Join(slices.DeleteFunc(said(pages[0]), func(line string) bool { return strings.HasPrefix(line, "On ") }), " ")
		require.Contains(t, text, row.want, row.reason)
	}
}

// What is counted and its times sign stay in one line, however many sizes there are.
func TestSessionTraysStayWhole(t *testing.T) {
	whole := regexp.MustCompile(`[0-9]+ × [0-9]+`)
	for sizes := 1; sizes <= 12; sizes++ {
		var batches []labels.SessionBatch
		for i := range sizes {
			b := batch(2+i, "A", "B", 10*(20+i))
			b.TraySize = 20 + i
			batches = append(batches, b)
		}
		pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: batches}, sessionOptions(t))
		require.NoError(t, err)
		times := 0
		var lines []string
		for _, page := range pages {
			lines = append(lines, said(page)...)
		}
		for _, line := range lines {
			require.Equal(t, strings.Count(line, "×"), len(whole.FindAllString(line, -1)), "%q", line)
			times += strings.Count(line, "×")
		}
		require.Equal(t, 2*sizes, times, "in the rows, and where trays are to be made ready")
	}
}
