package ledger

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"reflect"
)

// While a ledger is open another file may take its place, as when a backup is moved over it.
// What is then written goes into a file that nobody opens again, and the files that SQLite
// keeps beside a ledger (its log) spoil the new one. So each change and each reading makes
// sure that the file is still the one at its path.

// hold notes which file was opened.
func (l *Ledger) hold(info fs.FileInfo) {
	os.SameFile(info, info) // on Windows, this call identifies the file
	l.file = info
}

// checkFile reports a file that is no longer at its path, or has a second name: SQLite has a
// log for each, and does not see what is written under the other (How To Corrupt An SQLite
// Database File, 2.5 and 4.2; memory).
func (l *Ledger) checkFile() error {
	info, err := os.Stat(l.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return l.unusable("the file was moved or removed while this program had it open",
			"put it back, or stop this program and start it again", nil)
	case err != nil:
		return l.fileFailure("cannot be reached", err)
	case !os.SameFile(info, l.file):
		return l.replaced()
	case names(info) > 1:
		return l.unusable("the file has a second name (a hard link); use under both would damage it", "remove the other name", nil)
	}
	return nil
}

func (l *Ledger) replaced() error {
	return l.unusable("another file took its place while this program had it open",
		"make sure that the right file is there, then stop this program and start it again", nil)
}

// check is checkFile for a transaction. Where the numbers of files are used again, the
// identity of the ledger tells that another was opened.
func (l *Ledger) check(ctx context.Context, tx *sql.Tx) error {
	if err := l.checkFile(); err != nil {
		return err
	}
	var identity string
	if err := tx.QueryRowContext(ctx, selectIdentity).Scan(&identity); err != nil {
		return l.failure(err)
	}
	if identity != l.identity {
		return l.replaced()
	}
	return nil
}

const selectIdentity = "SELECT value FROM identity"

// names counts the names of a file; 0 if unknown.
func names(info fs.FileInfo) uint64 {
	system := reflect.Indirect(reflect.ValueOf(info.Sys()))
	if system.Kind() != reflect.Struct {
		return 0
	}
	count := system.FieldByName("Nlink")
	if !count.IsValid() || !count.CanUint() {
		return 0
	}
	return count.Uint()
}
