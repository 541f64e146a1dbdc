// Package ledger keeps the batches that were issued, in a SQLite file, so that
// a code never stands for two things.
//
// # Which rows are known
//
// A draft is a batch of the ledger when date, variety, stock and source are
// those of the batch and the grafters do not differ: they are equal, or one is
// empty. The batch is compared as it is now, and as it was before each amendment.
// Names are compared without regard to letter case, Unicode
// normalisation, the amount of white space, the space after a hybrid sign and
// the shape of apostrophes and hyphens; a batch keeps the spelling it was first
// issued with.
//
// A batch is given to at most one draft of a call, so equal rows of a manifest
// are separate batches. Where several drafts and several batches suit each
// other, they are paired so that, in this order,
//
//  1. the fewest batches are new,
//  2. the fewest pairs have unequal grafters, or match only an earlier version of the batch,
//  3. the fewest stems are added,
//  4. the fewest numbers, tray sizes, stems, wraps, notes and spellings differ,
//  5. earlier drafts have earlier codes.
//
// With this rule a manifest that is issued again finds each of its rows where
// it was: what the first call changed in a batch made it closer to the very
// draft it was paired with, and to no other draft by more.
//
// # What becomes of a known row
//
// More grafts than issued extend the batch; fewer leave it as it is. The tray
// size stays as first issued, since the code of a tray stands for its stems.
// Stem diameter, wrap and note take the draft's value when it says one and
// keep the ledger's when it does not; so does the grafter when the ledger has
// none. What was amended stays. A draft without a batch becomes a new one, with
// the number after the day's highest. Nothing is written when nothing changes.
//
// A draft that matches only a void batch is refused, unless AsNew has its row:
// it neither revives that batch nor becomes a second one unasked.
//
// # Errors
//
// When the file or the database cannot be used, an error is ErrUnusable; when the
// context has ended, it is the context's. Functions name the others.
package ledger

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"sync"
	"time"
)

// Ledger is an open ledger. It may be used by several goroutines at once, and
// several processes may have the same file open.
type Ledger struct {
	db   *sql.DB
	path string
	now  func() time.Time

	file     fs.FileInfo // that was opened
	identity string      // of the ledger in it
	version  int         // of the database; older than the newest only if read-only

	find, amendments, known, reprints, observations *sql.Stmt

	watching sync.Mutex // guards watch
	watch    *sql.Conn  // for Version; nil before it is asked for
}

// Option changes how a ledger works.
type Option func(*Ledger)

// WithClock makes the ledger take the time of issue from now instead of
// time.Now.
func WithClock(now func() time.Time) Option {
	return func(l *Ledger) { l.now = now }
}

// Open opens the ledger at path for reading and issuing, brings it up to date
// with this version of the program, and makes the file and its folder when
// they are missing.
func Open(ctx context.Context, path string, options ...Option) (*Ledger, error) {
	return open(ctx, path, readWrite, options)
}

// OpenExisting opens a ledger that is there. It never makes one: when there is
// none the error is ErrMissing. A ledger that may only be read, or lies in
// a folder that may only be read, will do for reading, even one of an older
// version.
func OpenExisting(ctx context.Context, path string, options ...Option) (*Ledger, error) {
	return open(ctx, path, existing, options)
}

// Close closes the ledger.
func (l *Ledger) Close() error {
	var errs []error
	for _, statement := range []*sql.Stmt{l.find, l.amendments, l.known, l.reprints, l.observations} {
		if statement != nil {
			errs = append(errs, statement.Close())
		}
	}
	l.watching.Lock()
	defer l.watching.Unlock()
	if l.watch != nil {
		errs = append(errs, l.watch.Close())
	}
	return l.failure(errors.Join(append(errs, l.db.Close())...))
}

// Path returns the path of the ledger's file, absolute.
func (l *Ledger) Path() string { return l.path }

// Version tells the states of an open ledger apart: it is another after each change,
// by this program or by another. It is asked for on a connection that never writes,
// for which SQLite counts the changes of all others (PRAGMA data_version).
func (l *Ledger) Version(ctx context.Context) (version int64, err error) {
	if err := l.checkFile(); err != nil {
		return 0, err
	}
	l.watching.Lock()
	defer l.watching.Unlock()
	ctx = context.WithoutCancel(ctx) // the connection outlives whoever asks first
	if l.watch == nil {
		if l.watch, err = l.db.Conn(ctx); err != nil {
			return 0, l.failure(err)
		}
	}
	err = l.watch.QueryRowContext(ctx, "PRAGMA data_version").Scan(&version)
	return version, l.failure(err)
}
