package ledger

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	sqlite3 "modernc.org/sqlite/lib"
)

// patience is how long a writer waits for others.
const patience = 30 * time.Second

// access is how the file of a ledger is opened.
type access uint8

const (
	readWrite access = iota // made when missing
	existing                // never made
	immutable               // read without locks, for a folder in which SQLite can make none
)

func open(ctx context.Context, path string, how access, options []Option) (*Ledger, error) {
	absolute, err := filepath.Abs(path)
	l := &Ledger{path: absolute, now: time.Now}
	if err != nil {
		l.path = path
		return nil, l.unusable("its path is not valid: "+err.Error(), "", err)
	}
	for _, option := range options {
		option(l)
	}
	if err := l.prepareFile(how); err != nil {
		return nil, err
	}
	err = l.connect(ctx, how)
	if how == existing && l.folderBarsReading(err) {
		err = l.connect(ctx, immutable)
	}
	if err != nil {
		return nil, err
	}
	if l.file == nil {
		info, err := os.Stat(l.path)
		if err != nil {
			l.Close()
			return nil, l.fileFailure("cannot be reached", err)
		}
		l.hold(info)
	}
	if err := l.checkFile(); err != nil {
		l.Close()
		return nil, err
	}
	return l, nil
}

// prepareFile makes the folder of a ledger to be made, and finds the faults of
// a path that SQLite would not name.
func (l *Ledger) prepareFile(how access) error {
	info, err := os.Stat(l.path)
	switch {
	case err == nil && info.IsDir():
		return l.unusable("it is a folder", "name a file, such as "+filepath.Join(l.path, "ledger.db"), nil)
	case err == nil:
		l.hold(info)
		return l.checkLength()
	case !errors.Is(err, fs.ErrNotExist):
		return l.fileFailure("cannot be reached", err)
	case how == existing:
		return l.missing()
	}
	if err := os.MkdirAll(filepath.Dir(l.path), 0o755); err != nil {
		return l.fileFailure("its folder cannot be made", err)
	}
	return nil
}

func (l *Ledger) fileFailure(problem string, err error) error {
	cause := err
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		cause = pathError.Err
	}
	return l.unusable(problem+": "+cause.Error(), adviceFolder, err)
}

// connect opens the database, checks that it is a ledger, and migrates it.
func (l *Ledger) connect(ctx context.Context, how access) error {
	db, err := sql.Open("sqlite", l.address(how))
	if err != nil {
		return l.failure(err)
	}
	l.db = db
	if err := l.settle(ctx, how); err != nil {
		db.Close() // the first error says more
		return err
	}
	amendment := "amendment"
	if l.version < versionOfAmendments {
		amendment = "0"
	}
	if l.version >= versionOfIdentity {
		if err := db.QueryRowContext(ctx, selectIdentity).Scan(&l.identity); err != nil {
			db.Close() // the first error says more
			return l.failure(err)
		}
	}
	for _, prepare := range []struct {
		statement **sql.Stmt
		query     string
	}{
		{&l.find, selectBatches + ofCode},
		{&l.amendments, selectAmendments + ofCode + " ORDER BY id"},
		{&l.known, "SELECT " + batchColumns + `
			FROM json_each(?) AS wanted CROSS JOIN batches ON date = wanted.value ->> 0 AND number = wanted.value ->> 1`},
		{&l.reprints, "SELECT at, kind, units, slips, " + amendment + " FROM reprints" + ofCode + " ORDER BY id"},
		{&l.observations, selectEntries + " WHERE date = ? AND batch = ? ORDER BY number"},
	} {
		if prepare.statement == &l.reprints && l.version < versionOfReprints ||
			prepare.statement == &l.observations && l.version < versionOfEntries ||
			prepare.statement == &l.amendments && l.version < versionOfAmendments {
			continue
		}
		if *prepare.statement, err = db.PrepareContext(ctx, prepare.query); err != nil {
			db.Close() // the first error says more
			return l.failure(err)
		}
	}
	return nil
}

// settle migrates. When several processes open a new ledger at once, changing
// to write-ahead logging can fail as busy without any wait; it is tried again.
func (l *Ledger) settle(ctx context.Context, how access) error {
	deadline := time.Now().Add(patience)
	for {
		err := l.migrate(ctx, how)
		if code := primaryCode(err); code != sqlite3.SQLITE_BUSY || time.Now().After(deadline) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// folderBarsReading reports whether reading failed because SQLite could not
// make its files beside the ledger, and the ledger can be read without them:
// no change waits in a write-ahead log.
func (l *Ledger) folderBarsReading(err error) bool {
	code := primaryCode(err)
	if code != sqlite3.SQLITE_CANTOPEN && code != sqlite3.SQLITE_READONLY {
		return false
	}
	log, err := os.Stat(l.path + "-wal")
	return errors.Is(err, fs.ErrNotExist) || err == nil && log.Size() == 0
}

// waiting is the pragma that makes a connection wait for others.
func waiting(most time.Duration) string {
	return "busy_timeout(" + strconv.Itoa(int(most.Milliseconds())) + ")"
}

// address returns the data source name. Pragmas stand in it so that every
// connection of the pool has them.
func (l *Ledger) address(how access) string {
	path := filepath.ToSlash(l.path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	query := url.Values{"_txlock": {"immediate"}}
	pragmas := []string{waiting(patience), "foreign_keys(1)"}
	// A label that was printed must not lose its record with the power, so each
	// commit waits for the disk.
	if how != immutable {
		pragmas = append(pragmas, "synchronous(FULL)")
	}
	switch how {
	case readWrite:
		pragmas = append(pragmas, "journal_mode(WAL)")
		query.Set("mode", "rwc")
	case existing:
		query.Set("mode", "rw") // falls back to reading by itself
	case immutable:
		query.Set("mode", "ro")
		query.Set("immutable", "1")
	}
	query["_pragma"] = pragmas
	return (&url.URL{Scheme: "file", Path: path, RawQuery: query.Encode()}).String()
}

// headLength is the length of the head of a database file, in bytes.
const headLength = 100

// checkLength refuses a file that is empty, or shorter than its own head says,
// as a copy is that stopped half-way. SQLite may take such a file for a new
// ledger, or one with fewer batches, whose codes would then be given to other
// plants.
func (l *Ledger) checkLength() error {
	for range 3 {
		short, err := shorterThanItsHead(l.path)
		if err != nil {
			return l.fileFailure("cannot be read", err)
		}
		if !short {
			return l.checkEmpty()
		}
		time.Sleep(20 * time.Millisecond) // another process may be moving its log into the file
	}
	return l.unusable("the file is damaged: its end is missing", adviceDamaged, nil)
}

// checkEmpty refuses a file without even a head. Another process may be making
// the ledger just now; it is given some time.
func (l *Ledger) checkEmpty() error {
	for deadline := time.Now().Add(500 * time.Millisecond); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		info, err := os.Stat(l.path)
		if err != nil || info.Size() >= headLength {
			return nil // what it is, is found out when it is opened
		}
		for _, beside := range []string{"-wal", "-journal"} {
			if _, err := os.Stat(l.path + beside); err == nil {
				return nil
			}
		}
	}
	return l.unusable("the file is empty, as when copying it broke off",
		"use a backup of it; if there was never a ledger, delete the file and a new one is made", nil)
}

// shorterThanItsHead compares the size of a database file with the number of
// pages in its head (SQLite, Database File Format, 1.3). While a write-ahead
// log waits the file may rightly be shorter.
func shorterThanItsHead(path string) (bool, error) {
	if log, err := os.Stat(path + "-wal"); err == nil && log.Size() > 0 {
		return false, nil
	}
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrPermission) {
		return false, nil // SQLite says so in its own words
	}
	if err != nil {
		return false, err
	}
	defer file.Close()
	var head [headLength]byte
	if _, err := io.ReadFull(file, head[:]); err != nil || string(head[:16]) != "SQLite format 3\x00" {
		return false, nil // no database: found out when it is opened
	}
	pageSize := int64(binary.BigEndian.Uint16(head[16:]))
	if pageSize == 1 {
		pageSize = 65536
	}
	info, err := file.Stat()
	if err != nil {
		return false, err
	}
	return info.Size() < pageSize*int64(binary.BigEndian.Uint32(head[28:])), nil
}
