package main

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTable(t *testing.T) {
	rows := []row{
		{"graftslip", 30_000, cost{2_400 * time.Millisecond, 3_000 * time.Millisecond, 98_499_999}, 19_515_000, "40 of 40"},
		{"quick", 30_000, cost{285 * time.Millisecond, 285 * time.Millisecond, 500_000}, 30_000, "40 of 40"},
		{"slow", 3_000, cost{12 * time.Second, 11_999 * time.Millisecond, 1_234_567_890}, 3_702_000, ""},
	}
	require.Equal(t, `| printed by | labels | µs a label | times graftslip | processor µs a label | peak MB | bytes a label | read back |
|---|---|---|---|---|---|---|---|
| graftslip | 30,000 | 80 | 1.0 | 100 | 98 | 651 | 40 of 40 |
| quick | 30,000 | 9.5 | 0.1 | 9.5 | 1 | 1 | 40 of 40 |
| slow | 3,000 | 4,000 | 50.0 | 4,000 | 1,235 | 1,234 |  |
`, table(rows))
}

func TestThousands(t *testing.T) {
	for n, want := range map[int64]string{0: "0", 999: "999", 1000: "1,000", 30_007: "30,007", 1_000_000: "1,000,000"} {
		require.Equal(t, want, thousands(n))
	}
}

// Powers go in and their exponents come out; a constant start makes less of it.
func TestExponent(t *testing.T) {
	sizes := []int{10, 30, 100, 300}
	for _, power := range []float64{0, 1, 1.5, 2} {
		var seconds, started []float64
		for _, n := range sizes {
			seconds = append(seconds, 0.004*math.Pow(float64(n), power))
			started = append(started, 1+0.004*math.Pow(float64(n), power))
		}
		require.InDelta(t, power, exponent(sizes, seconds), 1e-12)
		if power > 0 {
			require.Less(t, exponent(sizes, started), power)
		}
	}
}

func TestChoosePeers(t *testing.T) {
	for _, test := range []struct {
		reason, names string
		want          []string
	}{
		{"all", "all", []string{"gofpdf", "pdfkit", "reportlab"}},
		{"none", "none", nil},
		{"in the order named", "reportlab,gofpdf", []string{"reportlab", "gofpdf"}},
	} {
		chosen, err := choosePeers(test.names)
		require.NoError(t, err, test.reason)
		var names []string
		for _, p := range chosen {
			names = append(names, p.name)
		}
		require.Equal(t, test.want, names, test.reason)
	}
	_, err := choosePeers("gofpdf,tealeaves")
	require.EqualError(t, err, `-peers: there is no peer "tealeaves"; there are gofpdf, pdfkit, reportlab`)
}
