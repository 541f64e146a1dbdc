package ledger_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// A version is another after each change, whoever made it, and the same otherwise.
func TestVersion(t *testing.T) {
	l := openMuchLater(t)
	batch := issue(t, l, draft(func(*records.Draft) {}))[0].Batch
	other, err := ledger.OpenExisting(t.Context(), l.Path(), ledger.WithClock(muchLater))
	require.NoError(t, err)
	defer func() { require.NoError(t, other.Close()) }()
	seen := map[int64]bool{}
	last := func() int64 {
		t.Helper()
		version, err := l.Version(t.Context())
		require.NoError(t, err)
		again, err := l.Version(t.Context())
		require.NoError(t, err)
		require.Equal(t, version, again)
		return version
	}
	fresh := func(reason string) {
		t.Helper()
		require.False(t, seen[last()], reason)
		seen[last()] = true
	}
	fresh("at first")
	for i, by := range []*ledger.Ledger{l, other, l, other} {
		_, _, err := by.Log(t.Context(), records.Entry{Key: string(rune('a' + i)), Unit: batch.Code, Note: "soft"})
		require.NoError(t, err)
		fresh("an entry")
	}
	_, err = other.Histories(t.Context())
	require.NoError(t, err)
	require.True(t, seen[last()], "reading changes nothing")
	_, _, err = l.Log(t.Context(), records.Entry{Key: "a", Unit: batch.Code, Note: "other words"})
	require.Error(t, err)
	require.True(t, seen[last()], "nor does what is refused")

	ended, end := context.WithCancel(t.Context())
	end()
	_, err = l.Version(ended)
	require.NoError(t, err)
	_, _, err = other.Log(t.Context(), records.Entry{Key: "z", Unit: batch.Code, Note: "firm"})
	require.NoError(t, err)
	fresh("also after somebody asked who had gone")
}
