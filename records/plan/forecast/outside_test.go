package forecast_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/testdata/outside"
)

// SciPy finds the same chances and quantiles, for up to 9,000 grafts.
func TestAnotherLibraryFindsTheSameChances(t *testing.T) {
	python := outside.Python(t, "scipy")
	type one struct {
		Share, A, B  float64 // A is 0 where the share is known
		Grafts, Want int
		Part         float64
	}
	random := rand.New(rand.NewPCG(11, 4))
	even := func(low, high float64) float64 { return low * math.Pow(high/low, random.Float64()) }
	var cases []one
	for i := range 1000 {
		c := one{Share: random.Float64(), Grafts: int(even(1, 9001)), Part: 0.001 + 0.998*random.Float64()}
		variance := c.Share * (1 - c.Share) / float64(c.Grafts)
		if i%2 == 0 {
			c.A, c.B = even(1e-2, 1e5), even(1e-2, 1e5)
			beta := distuv.Beta{Alpha: c.A, Beta: c.B}
			c.Share, variance = beta.Mean(), variance+beta.Variance()
		}
		at := c.Share + 2.5*random.NormFloat64()*math.Sqrt(variance)
		c.Want = min(c.Grafts, max(1, int(at*float64(c.Grafts))))
		cases = append(cases, c)
	}
	const script = `
import json, sys
import numpy
from scipy.stats import beta, betabinom, binom
answers = []
for c in json.load(open(sys.argv[1])):
    k = numpy.arange(c["Want"], c["Grafts"] + 1)
    if c["A"]:
        answers.append([betabinom.pmf(k, c["Grafts"], c["A"], c["B"]).sum(), beta.ppf(c["Part"], c["A"], c["B"])])
    else:
        answers.append([binom.sf(c["Want"] - 1, c["Grafts"], c["Share"]), c["Share"]])
print(json.dumps(answers))
`
	data, err := json.Marshal(cases)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "cases.json")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	output, err := exec.Command(python, "-c", script, path).Output()
	require.NoError(t, err)
	var answers [][2]float64
	require.NoError(t, json.Unmarshal(output, &answers))
	require.Len(t, answers, len(cases))
	worst, worstPart, worstQuantile := 0.0, 0.0, 0.0
	middling := 0
	for i, c := range cases {
		take := known(t, c.Share)
		if c.A > 0 {
			take = uncertain(c.A, c.B)
		}
		chance, quantile := take.Chance(c.Grafts, c.Want), take.Quantile(c.Part)
		worst = max(worst, math.Abs(chance-answers[i][0]))
		if answers[i][0] > 1e-100 {
			worstPart = max(worstPart, math.Abs(chance/answers[i][0]-1))
		}
		worstQuantile = max(worstQuantile, math.Abs(quantile-answers[i][1]))
		if chance > 0.01 && chance < 0.99 {
			middling++
		}
	}
	t.Logf("%d cases: chances differ by %.1e, or by a part of %.1e, quantiles by %.1e", len(cases), worst, worstPart, worstQuantile)
	require.Greater(t, middling, 500)
	require.Less(t, worst, 1e-8)
	require.Less(t, worstPart, 1e-8)
	require.Less(t, worstQuantile, 1e-8)
}
