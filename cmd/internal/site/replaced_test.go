package site_test

import (
	"net/http"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/ledger"
)

// A page whose ledger was replaced keeps nothing, shows nothing of before, and reports why.
func TestLedgerReplaced(t *testing.T) {
	n := newNursery(t)
	phone := n.phone(t, "OR")
	code := n.tray(t, 1)
	status, body := phone.get(at(code))
	require.Equal(t, http.StatusOK, status)
	fields := form(t, body, "counts")
	fields.Set("alive", "30")
	pages := []string{at(code), "/due", "/bed", "/rates", "/scan?code=copper"}
	for _, page := range pages {
		status, _ := phone.get(page)
		require.Equal(t, http.StatusOK, status, page)
	}

	path := n.book.Path()
	backup, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path+".copy", backup, 0o600))
	require.NoError(t, os.Rename(path, path+".old"))
	require.NoError(t, os.Rename(path+".copy", path))
	status, body = phone.post(at(code)+"/log", fields)
	require.Equal(t, http.StatusInternalServerError, status)
	require.Contains(t, body, "The ledger cannot be used")
	require.NotContains(t, body, path)
	for _, page := range pages {
		status, body := phone.get(page)
		require.Equal(t, http.StatusInternalServerError, status, page)
		require.NotContains(t, body, "Copper Almanac", page)
	}
	for _, trouble := range n.troubles.all() {
		require.ErrorIs(t, trouble, ledger.ErrUnusable)
		require.ErrorContains(t, trouble, "another file took its place while this program had it open")
	}
	require.Len(t, n.troubles.all(), 1+len(pages))
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, backup, now)
	old, err := ledger.OpenExisting(t.Context(), path+".old")
	require.NoError(t, err)
	defer old.Close()
	history, err := old.History(t.Context(), code)
	require.NoError(t, err)
	require.Empty(t, history.Entries(code), "nor in the old one")
}
