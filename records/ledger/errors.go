package ledger

import (
	"errors"
	"fmt"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/codes"
	"graftslip/records"
)

// What to do about a ledger that cannot be used.
const (
	adviceFolder  = "check that you may write to the folder, or name another ledger with --ledger FILE"
	adviceOther   = "name the right file with --ledger FILE"
	adviceDamaged = "keep the file as it is and go on with a backup of it"
)

// StoreError says why the file of a ledger cannot be used.
type StoreError struct {
	Path    string // of the ledger
	Problem string // what is wrong, as a clause
	Err     error  // the cause, nil when the ledger found the fault itself

	advice string
}

// Error names the ledger and the problem.
func (e *StoreError) Error() string { return "ledger " + e.Path + ": " + e.Problem }

// Hint says what to do, in one line.
func (e *StoreError) Hint() string { return e.advice }

// Unwrap returns the cause.
func (e *StoreError) Unwrap() error { return e.Err }

// MissingError says that there is no ledger at a path.
type MissingError struct {
	Path string
}

// Error names the path.
func (e *MissingError) Error() string { return "there is no ledger at " + e.Path }

// Hint says what to do, in one line.
func (e *MissingError) Hint() string {
	return "a ledger is made when a manifest is printed; name the one you want with --ledger FILE"
}

// NotIssuedError says that a code was never issued by this ledger.
type NotIssuedError struct {
	Path string     // of the ledger
	Code codes.Code // the code asked for
	// Issued is how many of the kind of Code the batch has: stems or trays.
	// It is 0 when the batch itself was never issued.
	Issued int
}

// Error says whether it is the batch that is missing or only the stem or tray.
func (e *NotIssuedError) Error() string {
	if e.Issued == 0 {
		return fmt.Sprintf("%s: batch %d of %s is not in the ledger", e.Code, e.Code.Batch(), e.Code.Date().Format("2006-01-02"))
	}
	return fmt.Sprintf("%s: there is no %s %d, the batch has %s", e.Code, e.Code.Kind(), e.Code.Number(), records.Counted(e.Issued, e.Code.Kind().String()))
}

// Hint says what to do, in one line.
func (e *NotIssuedError) Hint() string {
	return "was it printed with another ledger than " + e.Path + "? Name that one with --ledger FILE"
}

// RefusedError says why a draft cannot be issued.
type RefusedError struct {
	Row     int    // of the draft in its manifest, 0 when it has none
	Variety string // of the draft
	Problem string // what is wrong, as a clause

	advice string
}

// Error names the row and the problem.
func (e *RefusedError) Error() string {
	if e.Row == 0 {
		return fmt.Sprintf("%q: %s", e.Variety, e.Problem)
	}
	return fmt.Sprintf("row %d, %q: %s", e.Row, e.Variety, e.Problem)
}

// Hint says what to do, in one line.
func (e *RefusedError) Hint() string { return e.advice }

// Refusals are all the drafts that cannot be issued.
type Refusals []*RefusedError

// Error returns a line for each refusal.
func (r Refusals) Error() string {
	lines := make([]string, len(r))
	for i, refused := range r {
		lines[i] = refused.Error()
	}
	return strings.Join(lines, "\n")
}

// Hint returns the advice of the first refusal.
func (r Refusals) Hint() string { return r[0].Hint() }

// Unwrap returns the refusals one by one.
func (r Refusals) Unwrap() []error {
	list := make([]error, len(r))
	for i, refused := range r {
		list[i] = refused
	}
	return list
}

// primaryCode returns the SQLite result code of an error without its extension,
// 0 when it has none.
func primaryCode(err error) int {
	var failed *sqlite.Error
	if errors.As(err, &failed) {
		return failed.Code() & 0xff
	}
	return 0
}

// failure turns an error of the database into a *StoreError by its code. An
// error that is none of the database's, such as that of a context, stays.
func (l *Ledger) failure(err error) error {
	code := primaryCode(err)
	if code == 0 {
		return err
	}
	problem, advice := describe(code)
	if problem == "" {
		problem, advice = "the database reports: "+err.Error(), "look at the ledger with care, and keep a copy of it"
	}
	return &StoreError{Path: l.path, Problem: problem, advice: advice, Err: err}
}

// describe returns the problem and the advice for a primary result code, ""
// for one that is not foreseen.
func describe(code int) (problem, advice string) {
	switch code {
	case sqlite3.SQLITE_FULL:
		return "the disk is full", "make room on that disk and try again"
	case sqlite3.SQLITE_READONLY:
		return "it may only be read", "make the file and its folder writable, or name another ledger with --ledger FILE"
	case sqlite3.SQLITE_NOTADB:
		return "the file is not a ledger", adviceOther
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fmt.Sprintf("another program has kept it locked for %.0f seconds", patience.Seconds()), "let the other program finish and try again"
	case sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return "it cannot be opened", adviceFolder
	case sqlite3.SQLITE_CORRUPT:
		return "the file is damaged", adviceDamaged
	case sqlite3.SQLITE_IOERR:
		return "the disk cannot be read or written", "check the disk and the room left on it, and try again"
	}
	return "", ""
}
