package ledger_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// grafted gives a draft a day before the test's clock, so that entries can be made.
func grafted(d *records.Draft) { d.Date = graftDay.AddDate(0, 0, -5) }

// reads reads a ledger until the test ends, so that what is written stays in the log beside it.
func reads(t *testing.T, path string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	rows, err := db.Query("SELECT 1 FROM batches UNION ALL SELECT 2")
	require.NoError(t, err)
	require.True(t, rows.Next())
	t.Cleanup(func() { require.NoError(t, errors.Join(rows.Close(), rows.Err(), db.Close())) })
}

// Each backup taken while others issue and enter is whole: it holds all that was acknowledged
// before it was begun, and every batch with all its entries.
func TestBackupInUse(t *testing.T) {
	l := openNew(t)
	first := kept(issue(t, l, draft(grafted))[0])
	other := openAt(t, l.Path()) // as another program has it
	reads(t, l.Path())
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var written atomic.Int64 // batches and entries, as many of each
	var writer sync.WaitGroup
	writer.Go(func() {
		for n := 1; ctx.Err() == nil; n++ {
			_, err := other.Issue(t.Context(), []records.Draft{draft(func(d *records.Draft) {
				d.Variety, d.Date = fmt.Sprint("Lantern ", n), graftDay.AddDate(0, 0, -n/500) // a day has up to 999
			})}, nil, ledger.AsNew(records.Range(2, 2)))
			if err == nil {
				_, _, err = l.Log(t.Context(), records.Entry{Key: fmt.Sprint(n), Unit: first.Code, At: issueTime, Note: fmt.Sprint("note ", n)})
			}
			if err != nil {
				t.Errorf("write %d: %v", n, err)
				return
			}
			written.Store(int64(n))
		}
	})
	folder := t.TempDir()
	for n := 0; n < 30 || written.Load() < 30 && !t.Failed(); n++ {
		acknowledged := int(written.Load())
		path := filepath.Join(folder, fmt.Sprintf("%d.db", n))
		has, err := l.Backup(t.Context(), path)
		require.NoError(t, err)
		require.GreaterOrEqual(t, has.Batches, 1+acknowledged)
		require.GreaterOrEqual(t, has.Entries, acknowledged)
		copied := openAt(t, path)
		histories, err := copied.Histories(t.Context())
		require.NoError(t, err)
		require.Len(t, histories, has.Batches)
		found, err := copied.History(t.Context(), first.Code)
		require.NoError(t, err)
		require.Len(t, found.Entries(first.Code), has.Entries)
	}
	stop()
	writer.Wait()
	last := filepath.Join(folder, "last.db")
	_, err := l.Backup(t.Context(), last)
	require.NoError(t, err)
	require.Equal(t, dump(t, l.Path()), dump(t, last))
}

// No backup is made of a ledger with a fault that SQLite finds.
func TestBackupOfDamaged(t *testing.T) {
	for _, row := range []struct{ reason, damage, problem string }{
		{"a value that its table does not allow", "PRAGMA ignore_check_constraints = 1; INSERT INTO restorations (at, until) VALUES ('2026-11-26', 'never')",
			"the file is damaged: CHECK constraint failed in restorations"},
		{"an entry without its batch", "PRAGMA foreign_keys = 0; DROP TRIGGER IF EXISTS batches_stay; DELETE FROM batches",
			"the file is damaged: the batch or entry to which a row belongs is missing"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l := openNew(t)
			batch := kept(issue(t, l, draft(grafted))[0])
			_, _, err := l.Log(t.Context(), records.Entry{Key: "1", Unit: batch.Code, At: issueTime, Note: "soft"})
			require.NoError(t, err)
			db, err := sql.Open("sqlite", l.Path())
			require.NoError(t, err)
			_, err = db.Exec(row.damage)
			require.NoError(t, errors.Join(err, db.Close()))
			_, err = l.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.db"))
			require.ErrorIs(t, err, ledger.ErrUnusable)
			require.ErrorContains(t, err, row.problem)
			require.Equal(t, "keep the ledger and all earlier backups as they are", hint(err))
		})
	}
}

// A backup is never written over a file.
func TestBackupOverFile(t *testing.T) {
	l := openNew(t)
	issue(t, l, draft(nil))
	path := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(path, []byte("notes"), 0o600))
	_, err := l.Backup(t.Context(), path)
	require.Error(t, err)
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "notes", string(content))
}
