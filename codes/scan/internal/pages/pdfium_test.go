package pages

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/files"
)

// TestCompiledCodeIsKept looks for the compiled code that the other tests have
// used, damages a copy and starts PDFium with that.
func TestCompiledCodeIsKept(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles PDFium")
	}
	r, err := NewRenderer(context.Background())
	require.NoError(t, err)
	_, err = r.Open(context.Background(), []byte("%PDF-"))
	require.ErrorIs(t, err, files.ErrBroken, "PDFium has started and looked at it")
	require.NoError(t, r.Close())
	kept := compiledFolder()
	if kept == "" {
		t.Skip("the user has no folder for caches")
	}
	entries, err := filepath.Glob(filepath.Join(kept, "*", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, entries, "the compiled code is kept")

	folder := t.TempDir()
	for _, entry := range entries {
		code, err := os.ReadFile(entry)
		require.NoError(t, err)
		part, err := filepath.Rel(kept, entry)
		require.NoError(t, err)
		require.NoError(t, os.MkdirAll(filepath.Join(folder, filepath.Dir(part)), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(folder, part), code[:len(code)/2], 0o600))
	}
	pool, err := startPDFium(context.Background(), folder)
	require.NoError(t, err)
	in, err := pool.GetInstanceWithContext(context.Background())
	require.NoError(t, err)
	require.NoError(t, in.Close())
	require.NoError(t, pool.Close())
}

func TestCompiledCodeWithoutAFolder(t *testing.T) {
	require.Nil(t, compiledCache(""))
	occupied := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(occupied, nil, 0o600))
	require.Nil(t, compiledCache(filepath.Join(occupied, "folder")))
	t.Setenv("HOME", "")
	t.Setenv("XDG_CACHE_HOME", "")
	require.Empty(t, compiledFolder())
}
