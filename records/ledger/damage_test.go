package ledger

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/records"
)

// many returns n drafts of different varieties.
func many(n int) []records.Draft {
	drafts := make([]records.Draft, n)
	for i := range drafts {
		drafts[i] = records.Draft{Row: i + 2, Date: time.Date(2026, time.November, 25+i/900, 0, 0, 0, 0, time.UTC),
			Variety: fmt.Sprintf("Seedling %d", i), Stock: "Fen Hedge", Grafts: 40, Source: "Bed 2", TraySize: 25, Stem: 6.35, Note: "two eyes each"}
	}
	return drafts
}

// oneConnection returns a ledger whose pool has one connection, on which a
// pragma can be set.
func oneConnection(t *testing.T) *Ledger {
	t.Helper()
	l, err := Open(context.Background(), filepath.Join(t.TempDir(), "ledger.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	l.db.SetMaxOpenConns(1)
	return l
}

func rowCount(t *testing.T, l *Ledger) int {
	t.Helper()
	var n int
	require.NoError(t, l.db.QueryRow("SELECT count(*) FROM batches").Scan(&n))
	return n
}

// requireUnusable checks an error's message, advice and result code.
func requireUnusable(t *testing.T, err error, path, problem, advice string, code int) {
	t.Helper()
	require.ErrorIs(t, err, ErrUnusable)
	require.EqualError(t, err, "ledger "+path+": "+problem)
	require.Equal(t, advice, err.(*records.Problem).Hint())
	require.Equal(t, code, primaryCode(err))
}

func TestFullDisk(t *testing.T) {
	l := oneConnection(t)
	_, err := l.Issue(context.Background(), many(10), nil)
	require.NoError(t, err)
	var pages int
	require.NoError(t, l.db.QueryRow("PRAGMA page_count").Scan(&pages))
	var most int
	require.NoError(t, l.db.QueryRow(fmt.Sprintf("PRAGMA max_page_count = %d", pages+1)).Scan(&most))
	require.Equal(t, pages+1, most)
	called := false
	_, err = l.Issue(context.Background(), many(2000), func(*Change, []records.Issued) error { called = true; return nil })
	requireUnusable(t, err, l.path, "the disk is full", "free space on that disk and try again", sqlite3.SQLITE_FULL)
	require.False(t, called)
	require.Equal(t, 10, rowCount(t, l))
	issued, err := l.Issue(context.Background(), many(11), nil)
	require.NoError(t, err, "one more finds room")
	require.Equal(t, 11, issued[10].Code.Batch())
}

func TestLockedByAnotherProgram(t *testing.T) {
	l := oneConnection(t)
	_, err := l.db.Exec("PRAGMA busy_timeout = 20")
	require.NoError(t, err)
	other, err := sql.Open("sqlite", "file:"+l.path+"?_txlock=immediate")
	require.NoError(t, err)
	defer other.Close()
	tx, err := other.Begin()
	require.NoError(t, err)
	_, err = l.Issue(context.Background(), many(1), nil)
	requireUnusable(t, err, l.path, "another program has kept it locked for 30 seconds",
		"let the other program finish and try again", sqlite3.SQLITE_BUSY)

	reader, err := OpenExisting(context.Background(), l.path)
	require.NoError(t, err, "reading needs no lock")
	require.NoError(t, reader.Close())
	writer, err := Open(context.Background(), l.path)
	require.NoError(t, err, "opening a ledger that is up to date needs no lock either")
	require.NoError(t, writer.Close())

	require.NoError(t, tx.Rollback())
	_, err = l.Issue(context.Background(), many(1), nil)
	require.NoError(t, err)
}

func TestDamagedFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l, err := Open(context.Background(), path)
	require.NoError(t, err)
	_, err = l.Issue(context.Background(), many(500), nil)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	copy(data[4096:], bytes.Repeat([]byte{0xA5}, len(data)-4096)) // every page but the first
	require.NoError(t, os.WriteFile(path, data, 0o644))
	l, err = Open(context.Background(), path)
	if err == nil {
		defer l.Close()
		_, err = l.Issue(context.Background(), many(1), nil)
	}
	requireUnusable(t, err, path, "the file is damaged", "keep the file as it is and use a backup of it", sqlite3.SQLITE_CORRUPT)
}

func TestOpenWhatIsNoLedger(t *testing.T) {
	write := func(data string) func(*testing.T, string) {
		return func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, []byte(data), 0o644)) }
	}
	database := func(script string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			db, err := sql.Open("sqlite", "file:"+path)
			require.NoError(t, err)
			defer db.Close()
			_, err = db.Exec(script)
			require.NoError(t, err)
		}
	}
	for _, row := range []struct {
		reason          string
		prepare         func(*testing.T, string)
		problem, advice string
		code            int
	}{
		{"text", write("date,variety,stock,grafts\n2026-11-25,Ada,Fen,40\n" + string(bytes.Repeat([]byte("x"), 2000))),
			"the file is not a ledger", adviceOther, sqlite3.SQLITE_NOTADB},
		{"the database of another program", database("CREATE TABLE songs (title TEXT)"), "it belongs to another program", adviceOther, 0},
		{"another program's mark", database("PRAGMA application_id = 1; PRAGMA user_version = 1"), "it belongs to another program", adviceOther, 0},
		{"a newer version", database(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 7", applicationID)),
			"it was written by a newer version of this program (ledger version 7; this program reads up to 6)", "update this program", 0},
	} {
		for name, open := range map[string]func(context.Context, string, ...Option) (*Ledger, error){"Open": Open, "OpenExisting": OpenExisting} {
			t.Run(row.reason+" "+name, func(t *testing.T) {
				path := filepath.Join(t.TempDir(), "l.db")
				row.prepare(t, path)
				_, err := open(context.Background(), path)
				requireUnusable(t, err, path, row.problem, row.advice, row.code)
			})
		}
	}
}

func TestOpenOddPaths(t *testing.T) {
	folder := t.TempDir()
	_, err := Open(context.Background(), folder)
	requireUnusable(t, err, folder, "it is a folder", "name a file, such as "+filepath.Join(folder, "ledger.db"), 0)
	file := filepath.Join(folder, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	_, err = Open(context.Background(), filepath.Join(file, "ledger.db"))
	requireUnusable(t, err, filepath.Join(file, "ledger.db"), "cannot be reached: not a directory", adviceFolder, 0)
	_, err = Open(context.Background(), filepath.Join(file, "deep", "ledger.db"))
	requireUnusable(t, err, filepath.Join(file, "deep", "ledger.db"), "cannot be reached: not a directory", adviceFolder, 0)

	for _, name := range []string{"a b?mode=memory&x=1#y%41.db", ":memory:", "Grünes Haus/Αρχείο 'x'.db", "file:x.db", "-dash.db"} {
		path := filepath.Join(folder, "new", name)
		l, err := Open(context.Background(), path)
		require.NoError(t, err, name)
		_, err = l.Issue(context.Background(), many(1), nil)
		require.NoError(t, err)
		require.Equal(t, path, l.Path())
		require.NoError(t, l.Close())
		require.FileExists(t, path)
		require.NoFileExists(t, path+"-wal")
		l, err = OpenExisting(context.Background(), path)
		require.NoError(t, err, name)
		require.Equal(t, 1, rowCount(t, l))
		require.NoError(t, l.Close())
	}
}

func TestOpenExistingMakesNothing(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "none", "ledger.db")
	_, err := OpenExisting(context.Background(), path)
	require.ErrorIs(t, err, ErrMissing)
	require.EqualError(t, err, "there is no ledger at "+path)
	require.Equal(t, "if you have a ledger, check its path: --ledger FILE, or ledger in the settings; else printing a manifest makes one", err.(*records.Problem).Hint())
	require.NoDirExists(t, filepath.Dir(path))

}

// TestEmptyFile: what a copy leaves that broke off at its start must not become
// a new ledger, which would give the same codes again.
func TestEmptyFile(t *testing.T) {
	for _, content := range []string{"", "S"} {
		path := filepath.Join(t.TempDir(), "l.db")
		require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
		for _, open := range []func(context.Context, string, ...Option) (*Ledger, error){Open, OpenExisting} {
			_, err := open(context.Background(), path)
			require.EqualError(t, err, "ledger "+path+": the file is empty, as when copying it broke off")
			written, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, content, string(written))
		}
	}
}

// TestCopyOfTheFileAlone: a copy without the write-ahead log has all that was
// committed, even while the ledger is open or after a power cut.
func TestCopyOfTheFileAlone(t *testing.T) {
	path, copied := filepath.Join(t.TempDir(), "l.db"), filepath.Join(t.TempDir(), "copy.db")
	l, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer l.Close()
	for count := range 3 {
		_, err = l.Issue(context.Background(), many(1+count), nil)
		require.NoError(t, err)
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(copied, content, 0o644))
		c, err := OpenExisting(context.Background(), copied)
		require.NoError(t, err)
		require.Equal(t, 1+count, rowCount(t, c))
		require.NoError(t, c.Close())
		require.NoError(t, os.Remove(copied))
	}
}

func TestSettings(t *testing.T) {
	l, err := Open(context.Background(), filepath.Join(t.TempDir(), "l.db"))
	require.NoError(t, err)
	defer l.Close()
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "busy_timeout": "30000", "foreign_keys": "1", "synchronous": "2", "user_version": "6", "application_id": "1196641360",
	} {
		var got string
		require.NoError(t, l.db.QueryRow("PRAGMA "+pragma).Scan(&got))
		require.Equal(t, want, got, pragma)
	}
	require.Equal(t, "GSLP", string([]byte{applicationID >> 24, applicationID >> 16 & 0xff, applicationID >> 8 & 0xff, applicationID & 0xff}))
}

func TestEveryFailureHasAdvice(t *testing.T) {
	for _, code := range []int{sqlite3.SQLITE_FULL, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED,
		sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_IOERR} {
		problem, advice := describe(code)
		require.NotEmpty(t, problem)
		require.NotEmpty(t, advice)
	}
	l := oneConnection(t)
	_, err := l.db.Exec("INSERT INTO batches DEFAULT VALUES")
	failed := l.failure(err)
	require.ErrorContains(t, failed, "the database reports: ")
	require.Equal(t, sqlite3.SQLITE_CONSTRAINT, primaryCode(failed))
	plain := errors.New("plain")
	require.Same(t, plain, l.failure(plain))
	require.NoError(t, l.failure(nil))
}

// A copy that stopped half-way must not pass for a ledger with fewer batches:
// their codes would be given again.
func TestCutShort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l, err := Open(context.Background(), path)
	require.NoError(t, err)
	_, err = l.Issue(context.Background(), many(200), nil)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, length := range []int{100, 4096, 5000, 8191, 8192, len(whole) / 2, len(whole) - 4096, len(whole) - 1} {
		require.NoError(t, os.WriteFile(path, whole[:length], 0o600))
		_, err := Open(context.Background(), path)
		require.ErrorIs(t, err, ErrUnusable, "%d of %d bytes", length, len(whole))
		require.ErrorContains(t, err, "damaged")
		_, err = OpenExisting(context.Background(), path)
		require.ErrorIs(t, err, ErrUnusable, "%d of %d bytes", length, len(whole))
	}
	require.NoError(t, os.WriteFile(path, whole, 0o600))
	l, err = Open(context.Background(), path)
	require.NoError(t, err)
	require.Equal(t, 200, rowCount(t, l))
	require.NoError(t, l.Close())
}
