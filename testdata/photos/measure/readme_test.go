package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUpdate(t *testing.T) {
	for _, test := range []struct {
		reason, before string
		found          bool
		after          string
	}{
		{"what stood between is replaced", "a\n<!-- photographs -->\nold\n<!-- /photographs -->\nb\n", true, "a\n<!-- photographs -->\nnew\n<!-- /photographs -->\nb\n"},
		{"nothing stood between", "<!-- photographs -->\n<!-- /photographs -->\n", true, "<!-- photographs -->\nnew\n<!-- /photographs -->\n"},
		{"no lines", "a\n", false, "a\n"},
		{"the end is missing", "a\n<!-- photographs -->\nb\n", false, "a\n<!-- photographs -->\nb\n"},
		{"the wrong way round", "<!-- /photographs -->\n<!-- photographs -->\n", false, "<!-- /photographs -->\n<!-- photographs -->\n"},
	} {
		path := filepath.Join(t.TempDir(), "README.md")
		require.NoError(t, os.WriteFile(path, []byte(test.before), 0o600), test.reason)
		found, err := update(path, "new\n")
		require.NoError(t, err, test.reason)
		require.Equal(t, test.found, found, test.reason)
		data, err := os.ReadFile(path)
		require.NoError(t, err, test.reason)
		require.Equal(t, test.after, string(data), test.reason)
	}
	_, err := update(filepath.Join(t.TempDir(), "README.md"), "new\n")
	require.ErrorIs(t, err, os.ErrNotExist)
}
