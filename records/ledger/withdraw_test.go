package ledger_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// To withdraw an entry is about what that one was about, wherever it was done:
// the history of another tray tells nothing of it.
func TestWithdrawnFromAnotherPlace(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "l.db"))
	b := inTrays(t, l)
	wrong := logged(t, l, records.Entry{Key: "wrong", Unit: tray(t, b.Code, 1), Counts: records.Counts{Alive: records.Said(3)}})
	withdrawal := records.Entry{Key: "withdrawn", Unit: b.Code, Corrects: wrong.Number}
	kept := logged(t, l, withdrawal)
	require.Equal(t, tray(t, b.Code, 1), kept.Unit)
	require.Equal(t, 20, kept.Of)
	again, known, err := l.Log(context.Background(), withdrawal)
	require.NoError(t, err)
	require.True(t, known, "sent twice it is one")
	require.Equal(t, kept, again)
	history, err := l.History(context.Background(), b.Code)
	require.NoError(t, err)
	require.Len(t, history.Entries(tray(t, b.Code, 1)), 2)
	require.Empty(t, history.Entries(tray(t, b.Code, 2)))
	require.Equal(t, 20, history.Tally(tray(t, b.Code, 1)).Alive)
}
