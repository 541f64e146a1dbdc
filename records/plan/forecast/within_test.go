package forecast

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Eight patients who died on days 1, 1, 4, 5, 9 and 22, or left on days 6 and 9: of
// them 0.750, 0.625, 0.500, 0.333 and 0 survive days 1, 4, 5, 9 and 22. Bewick, Cheek
// & Ball 2004, Critical Care 8:389, table 2 (seen).
func TestWithinAgreesWithAPublishedEstimate(t *testing.T) {
	patients := []stood{{1, true}, {1, true}, {4, true}, {5, true}, {6, false}, {9, true}, {9, false}, {22, true}}
	for _, row := range []struct {
		dead float64
		day  int
	}{{0.25, 1}, {0.251, 4}, {0.375, 4}, {0.376, 5}, {0.5, 5}, {0.501, 9}, {0.666, 9}, {0.667, 22}, {1, 22}} {
		day, known := within(patients, row.dead)
		require.True(t, known)
		require.Equal(t, row.day, day, "%v dead", row.dead)
	}
	day, known := within(append(patients[:7:7], stood{22, false}), 0.667)
	require.False(t, known, "nobody dies after day 9")
	require.Equal(t, 22, day)
}
