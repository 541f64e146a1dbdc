package ledger

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"

	sqlite3 "modernc.org/sqlite/lib"
)

// applicationID is the mark of a ledger among SQLite files, "GSLP", as the
// first migration sets it.
const applicationID = 0x47534c50

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings the database to the newest version, each migration in a
// transaction of its own. Version n is the state after the first n migrations
// in lexical order. Only a readWrite ledger may begin as an empty file. One that
// may only be read stays at its version, which is enough for reading.
func (l *Ledger) migrate(ctx context.Context, how access) error {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return err
	}
	version, err := l.readVersion(ctx, len(names))
	if err == nil && version == 0 && how != readWrite {
		return l.missing()
	}
	l.version = version
	for ; err == nil && l.version < len(names); l.version++ {
		err = l.migrateTo(ctx, l.version+1, names[l.version])
		if how != readWrite && primaryCode(err) == sqlite3.SQLITE_READONLY {
			return nil
		}
	}
	return err
}

// The versions that brought tables.
const (
	versionOfReprints   = 2 // reprints, sheets and restorations
	versionOfEntries    = 3 // observations and phones
	versionOfAmendments = 4 // amendments
	versionOfIdentity   = 5 // identity
	versionOfReopenings = 6 // reopenings
)

// readVersion returns the version of the database, 0 when it is empty. A database
// of another program, or of a newer version of this one, is refused.
func (l *Ledger) readVersion(ctx context.Context, newest int) (int, error) {
	// One transaction, so that a migration by another process is seen as a
	// whole or not at all.
	tx, err := l.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return 0, l.failure(err)
	}
	defer tx.Rollback() // nothing was written
	var objects, application, version int
	for _, read := range []struct {
		query string
		value *int
	}{
		{"SELECT count(*) FROM sqlite_schema", &objects},
		{"PRAGMA application_id", &application},
		{"PRAGMA user_version", &version},
	} {
		if err := tx.QueryRowContext(ctx, read.query).Scan(read.value); err != nil {
			return 0, l.failure(err)
		}
	}
	switch {
	case application == 0 && objects == 0 && version == 0:
		return 0, nil
	case application != applicationID:
		return 0, l.unusable("it belongs to another program", adviceOther, nil)
	case version > newest:
		return 0, l.unusable(fmt.Sprintf("it was written by a newer version of this program (ledger version %d; this program reads up to %d)", version, newest),
			"update this program", nil)
	}
	return version, nil
}

func (l *Ledger) migrateTo(ctx context.Context, version int, name string) error {
	script, err := fs.ReadFile(migrations, name)
	if err != nil {
		return err
	}
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return l.failure(err)
	}
	defer tx.Rollback() // has no effect after Commit
	var now int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil {
		return l.failure(err)
	}
	if now >= version {
		return nil // another process was faster
	}
	if _, err := tx.ExecContext(ctx, string(script)); err != nil {
		return l.failure(err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", version)); err != nil {
		return l.failure(err)
	}
	if err := tx.Commit(); err != nil {
		return l.failure(err)
	}
	l.settleLog(ctx)
	return nil
}
