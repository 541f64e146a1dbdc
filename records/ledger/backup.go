package ledger

import (
	"context"

	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/records"
)

// Contents is how much a ledger holds.
type Contents struct {
	Batches int
	Entries int
}

// Backup writes a copy of the ledger, as it is at one moment, into an empty file, while others
// read and write the ledger. It then opens the copy and checks it. After an error the file is
// no backup.
func (l *Ledger) Backup(ctx context.Context, path string) (Contents, error) {
	if err := l.checkFile(); err != nil {
		return Contents{}, err
	}
	before, err := l.count(ctx)
	if err != nil {
		return Contents{}, err
	}
	_, err = l.db.ExecContext(ctx, "VACUUM INTO ?", path)
	switch {
	case primaryCode(err) == sqlite3.SQLITE_FULL:
		return Contents{}, &records.Problem{Text: "cannot write the backup: the disk is full", Advice: "free space there, or choose another disk"}
	case err != nil:
		return Contents{}, l.failure(err)
	}
	if err := l.checkFile(); err != nil {
		return Contents{}, err
	}
	after, err := l.count(ctx)
	if err != nil {
		return Contents{}, err
	}
	written, err := OpenExisting(ctx, path) // not immutable: SQLite then passes over CHECK
	if err != nil {
		return Contents{}, err
	}
	defer written.Close()
	fault, err := written.fault(ctx)
	switch {
	case err != nil:
		return Contents{}, err
	case fault != "":
		return Contents{}, l.unusable("the file is damaged: "+fault, adviceKeepBackups, nil)
	}
	has, err := written.count(ctx)
	if err != nil {
		return Contents{}, err
	}
	// Batches and entries are only ever added, so a whole copy has a number in between.
	between := before.Batches <= has.Batches && has.Batches <= after.Batches &&
		before.Entries <= has.Entries && has.Entries <= after.Entries
	same := written.identity == l.identity || l.version < versionOfIdentity
	if !between || !same {
		return Contents{}, l.unusable("its copy is not complete", adviceKeepBackups, nil)
	}
	return has, nil
}

// HasBackup reports whether a file is a readable backup of this ledger, and not of another.
func (l *Ledger) HasBackup(ctx context.Context, path string) bool {
	written, err := open(ctx, path, immutable, nil)
	if err != nil {
		return false
	}
	defer written.Close()
	return written.identity == l.identity
}

// fault is what SQLite finds wrong with the rows and indexes of a ledger, "" for nothing.
func (l *Ledger) fault(ctx context.Context) (fault string, err error) {
	if err := l.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&fault); err != nil {
		return "", l.failure(err)
	}
	if fault != "ok" {
		return fault, nil
	}
	var orphans bool
	err = l.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT * FROM pragma_foreign_key_check)").Scan(&orphans)
	if orphans {
		return "the batch or entry to which a row belongs is missing", nil
	}
	return "", l.failure(err)
}

// count counts what the ledger holds.
func (l *Ledger) count(ctx context.Context) (has Contents, err error) {
	entries := "(SELECT count(*) FROM observations)"
	if l.version < versionOfEntries {
		entries = "0"
	}
	err = l.db.QueryRowContext(ctx, "SELECT count(*), "+entries+" FROM batches").Scan(&has.Batches, &has.Entries)
	return has, l.failure(err)
}
