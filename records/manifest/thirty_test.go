package manifest_test

import (
	"errors"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// Every row of the file has one fault, each of another kind. Those that expect the
// same of a column share a message.
func TestThirtyFaults(t *testing.T) {
	const file, golden = "../../testdata/faults/thirty.csv", "../../testdata/faults/thirty.golden"
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	read, err := manifest.Read("thirty.csv", f, manifest.Options{})
	var faults manifest.Errors
	require.True(t, errors.As(err, &faults), "%v", err)
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(faults.Error()+"\n"), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, strings.Split(strings.TrimSpace(string(want)), "\n"), strings.Split(faults.Error(), "\n"))
	require.Len(t, faults, 30)
	require.Empty(t, read.Drafts)
	expected := map[string]bool{}
	for i, fault := range faults {
		require.Equal(t, i+2, fault.Row, "one fault a row")
		expected[fault.Column+fault.Expected] = true
	}
	require.Greater(t, len(expected), 20, "the faults are of many kinds")
}
