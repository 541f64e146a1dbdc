//go:build unix

package ledger

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// openWithOne opens a ledger with one batch, and returns a copy of it as it was before a second.
func openWithOne(t *testing.T) (l *Ledger, first codes.Code, backup string) {
	t.Helper()
	l, err := Open(t.Context(), filepath.Join(t.TempDir(), "l.db"))
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	issued, err := l.Issue(t.Context(), many(1), nil)
	require.NoError(t, err)
	backup = filepath.Join(t.TempDir(), "backup.db")
	content, err := os.ReadFile(l.path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(backup, content, 0o600))
	_, err = l.Issue(t.Context(), many(2), nil)
	require.NoError(t, err)
	return l, issued[0].Code, backup
}

// An open ledger is neither read nor written once another file is at its path.
func TestOutOfPlace(t *testing.T) {
	rename := func(t *testing.T, from, to string) { require.NoError(t, os.Rename(from, to)) }
	const (
		replaced       = "another file took its place while this program had it open"
		adviceReplaced = "make sure that the right file is there, then stop this program and start it again"
		gone           = "the file was moved or removed while this program had it open"
		adviceGone     = "put it back, or stop this program and start it again"
	)
	for _, row := range []struct {
		reason          string
		happens, back   func(t *testing.T, path, backup string)
		problem, advice string
	}{
		{"a backup is moved over it", func(t *testing.T, path, backup string) { rename(t, path, path+".old"); rename(t, backup, path) },
			func(t *testing.T, path, _ string) { rename(t, path+".old", path) }, replaced, adviceReplaced},
		{"a link leads elsewhere", func(t *testing.T, path, backup string) {
			rename(t, path, path+".old")
			require.NoError(t, os.Symlink(backup, path))
		}, func(t *testing.T, path, _ string) { rename(t, path+".old", path) }, replaced, adviceReplaced},
		{"it is moved", func(t *testing.T, path, _ string) { rename(t, path, path+".old") },
			func(t *testing.T, path, _ string) { rename(t, path+".old", path) }, gone, adviceGone},
		{"a second name", func(t *testing.T, path, _ string) { require.NoError(t, os.Link(path, path+".2")) },
			func(t *testing.T, path, _ string) { require.NoError(t, os.Remove(path+".2")) },
			"the file has a second name (a hard link); use under both would damage it", "remove the other name"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l, first, backup := openWithOne(t)
			ctx := t.Context()
			calls := map[string]func() error{
				"change":  func() error { return l.Change(ctx, func(*Change) error { t.Error("it ran"); return nil }) },
				"find":    func() error { _, err := l.Find(ctx, first); return err },
				"history": func() error { _, err := l.History(ctx, first); return err },
				"all":     func() error { _, err := l.Histories(ctx); return err },
				"known":   func() error { _, err := l.Known(ctx, []codes.Code{first}); return err },
				"version": func() error { _, err := l.Version(ctx); return err },
			}
			row.happens(t, l.path, backup)
			for name, call := range calls {
				err := call()
				require.Error(t, err, name)
				requireUnusable(t, err, l.path, row.problem, row.advice, 0)
			}
			row.back(t, l.path, backup)
			_, err := l.Issue(ctx, many(3), nil)
			require.NoError(t, err)
			require.Equal(t, 3, rowCount(t, l))
		})
	}
}

// What is written while a backup is moved over the ledger does not count as kept, and the
// backup stays whole.
func TestReplacedMeanwhile(t *testing.T) {
	l, _, backup := openWithOne(t)
	before, err := os.ReadFile(backup)
	require.NoError(t, err)
	_, err = l.Issue(t.Context(), many(3), func(*Change, []records.Issued) error { return os.Rename(backup, l.path) })
	require.ErrorIs(t, err, ErrUnusable)
	require.NoError(t, l.Close())
	after, err := os.ReadFile(l.path)
	require.NoError(t, err)
	require.Equal(t, before, after)
	again, err := OpenExisting(t.Context(), l.path)
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, 1, rowCount(t, again))
}

// A second name is found when a ledger is opened, by either.
func TestOpenSecondName(t *testing.T) {
	l, _, _ := openWithOne(t)
	require.NoError(t, l.Close())
	require.NoError(t, os.Link(l.path, l.path+".2"))
	for _, open := range []func(context.Context, string, ...Option) (*Ledger, error){Open, OpenExisting} {
		for _, path := range []string{l.path, l.path + ".2"} {
			_, err := open(t.Context(), path)
			requireUnusable(t, err, path, "the file has a second name (a hard link); use under both would damage it", "remove the other name", 0)
		}
	}
}

// Two ledgers differ even if the system reused a file number; a copy does not.
func TestIdentity(t *testing.T) {
	l, _, backup := openWithOne(t)
	copied, err := OpenExisting(t.Context(), backup)
	require.NoError(t, err)
	defer copied.Close()
	require.Equal(t, l.identity, copied.identity)
	other, _, _ := openWithOne(t)
	require.NotEqual(t, l.identity, other.identity)
	require.Len(t, l.identity, 32)
	other.identity = l.identity // as of a connection that now leads to another ledger
	err = other.Change(t.Context(), func(*Change) error { return errors.New("it ran") })
	requireUnusable(t, err, other.path, "another file took its place while this program had it open",
		"make sure that the right file is there, then stop this program and start it again", 0)
}

// The log is empty after each change, so that it cannot spoil a file put in the ledger's
// place, also where the program is killed. A reader delays that, and holds up nobody.
func TestLogIsEmptied(t *testing.T) {
	l, _, backup := openWithOne(t)
	logLength := func() int64 {
		info, err := os.Stat(l.path + "-wal")
		require.NoError(t, err)
		return info.Size()
	}
	require.Zero(t, logLength())
	reading, err := l.db.BeginTx(t.Context(), &sql.TxOptions{ReadOnly: true})
	require.NoError(t, err)
	var count int
	require.NoError(t, reading.QueryRow("SELECT count(*) FROM batches").Scan(&count))
	begun := time.Now()
	_, err = l.Issue(t.Context(), many(3), nil)
	require.NoError(t, err)
	require.Less(t, time.Since(begun), patience/2)
	require.NotZero(t, logLength())
	require.NoError(t, reading.Rollback())
	_, err = l.Issue(t.Context(), many(4), nil)
	require.NoError(t, err)
	require.Zero(t, logLength())
	for range 5 { // of the pool
		var waits int
		require.NoError(t, l.db.QueryRow("PRAGMA busy_timeout").Scan(&waits))
		require.EqualValues(t, patience.Milliseconds(), waits)
	}

	require.NoError(t, os.Rename(backup, l.path)) // and the program is killed: nothing is closed
	again, err := OpenExisting(t.Context(), l.path)
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, 1, rowCount(t, again))
	var sound string
	require.NoError(t, again.db.QueryRow("PRAGMA integrity_check").Scan(&sound))
	require.Equal(t, "ok", sound)
}
