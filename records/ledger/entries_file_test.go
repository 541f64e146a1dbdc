package ledger_test

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// The file itself, not only this package, keeps what was entered.
func TestTheFileItselfKeepsEntries(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch := inTrays(t, l)
	logged(t, l, everything(tray(t, batch.Code, 1)))
	logged(t, l, records.Entry{Key: "2", Unit: batch.Code, Note: "x", Corrects: 1})
	logged(t, l, records.Entry{Key: "3", Unit: batch.Code, Note: "y"})
	read := func() []records.HistoryEntry {
		history, err := l.History(context.Background(), batch.Code)
		require.NoError(t, err)
		return history.Entries(batch.Code)
	}
	was := read()
	db, err := sql.Open("sqlite", "file:"+l.Path()+"?_pragma=foreign_keys(1)")
	require.NoError(t, err)
	defer db.Close()
	const columns = "key, at, entered_at, seen_by, date, batch, unit, stems, alive, growing, rooted, dead, out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note, corrects"
	const rest = "at, entered_at, seen_by, date, batch, unit, stems, alive, growing, rooted, dead, out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note"
	for _, statement := range []string{
		"DELETE FROM observations", "DELETE FROM observations WHERE number = 3",
		"UPDATE observations SET note = 'z'", "UPDATE observations SET number = 9 WHERE number = 3", "UPDATE observations SET corrects = NULL",
		"INSERT OR REPLACE INTO observations SELECT * FROM observations WHERE number = 1",
		"REPLACE INTO observations (number, " + columns + ") SELECT 3, 'new', " + rest + ", NULL FROM observations WHERE number = 1",
		"REPLACE INTO observations (" + columns + ") SELECT key, " + rest + ", NULL FROM observations WHERE number = 1",
		"INSERT INTO observations (" + columns + ") SELECT 'new', " + rest + ", 1 FROM observations WHERE number = 1",
		"INSERT INTO observations (" + columns + ") SELECT 'new', " + rest + ", 77 FROM observations WHERE number = 1",
		"INSERT INTO observations (" + columns + ") SELECT '', " + rest + ", NULL FROM observations WHERE number = 1",
		"UPDATE OR REPLACE observations SET key = 'all' WHERE number = 3",
		"INSERT INTO observations (" + columns + ") SELECT key, " + rest + ", NULL FROM observations WHERE number = 3 ON CONFLICT (key) DO UPDATE SET note = 'z'",
	} {
		_, err := db.Exec(statement)
		require.Error(t, err, statement)
		require.Equal(t, was, read(), statement)
	}
	_, err = db.Exec("INSERT INTO observations (" + columns + ") SELECT 'new', " + rest + ", NULL FROM observations WHERE number = 1")
	require.NoError(t, err, "what is new and whole can be added")
}

// A correction is known by the entry that it corrects, too; taking its place
// would remove it.
func TestTheFileItselfKeepsCorrections(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch := inTrays(t, l)
	logged(t, l, records.Entry{Key: "1", Unit: batch.Code, Note: "x"})
	logged(t, l, records.Entry{Key: "2", Unit: batch.Code, Note: "y", Corrects: 1})
	db, err := sql.Open("sqlite", "file:"+l.Path()+"?_pragma=foreign_keys(1)")
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(`REPLACE INTO observations (key, at, entered_at, seen_by, date, batch, unit, stems, out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note, corrects)
		SELECT 'new', at, entered_at, seen_by, date, batch, unit, stems, 0, 0, 0, 0, 0, 0, 0, 'z', 1 FROM observations WHERE number = 1`)
	require.Error(t, err, "entry 2 would be gone")
	_, is, err := l.Entry(context.Background(), 2)
	require.NoError(t, err)
	require.True(t, is)
}

// makeSecondVersion makes a ledger of two batches as the program did before it
// took entries.
func makeSecondVersion(t testing.TB, path string) {
	t.Helper()
	makeFirstVersion(t, path)
	second, err := os.ReadFile("migrations/0002_reprints.sql")
	require.NoError(t, err)
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=journal_mode(WAL)")
	require.NoError(t, err)
	for _, statement := range []string{string(second), "PRAGMA user_version = 2",
		`INSERT INTO batches VALUES ('2026-11-25', 2, 'Bo', 'Fen Hedge', '', 50, 25, 0, '', '', '', '2026-11-24T15:30:00Z')`} {
		_, err = db.Exec(statement)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
}

func TestALedgerWithoutEntriesIsBroughtUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	makeSecondVersion(t, path)
	was := dump(t, path)
	l := openLater(t, path)
	require.Equal(t, was, dump(t, path))
	histories, err := l.Histories(context.Background())
	require.NoError(t, err)
	require.Len(t, histories, 2)
	require.Equal(t, records.Tally{Stems: 50, Alive: 50}, histories[1].Tally(histories[1].Batch.Code))
	code := histories[1].Batch.Code
	logged(t, l, records.Entry{Key: "1", Unit: tray(t, code, 2), Counts: records.Counts{Alive: records.Said(20)}})
	history, err := l.History(context.Background(), code)
	require.NoError(t, err)
	require.Equal(t, records.Tally{Stems: 50, Alive: 45, Dead: 5}, history.Tally(code))
}
