package ledger

import (
	"database/sql"
	"errors"
	"fmt"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"graftslip/codes"
	"graftslip/records"
)

// Kinds of errors, for errors.Is. Each error is a *records.Problem with the whole
// sentence and with advice.
var (
	ErrUnusable  = errors.New("the ledger cannot be used") // its file, or the database in it
	ErrMissing   = errors.New("there is no ledger")
	ErrNotIssued = errors.New("the code was never issued")
	ErrKeyUsed   = errors.New("the key of an entry was used for another")
)

// What to do about a ledger that cannot be used.
const (
	adviceFolder  = "check that you may write to the folder, or name another ledger with --ledger FILE"
	adviceOther   = "name the right file with --ledger FILE"
	adviceDamaged = "keep the file as it is and use a backup of it"

	adviceKeepBackups = "keep the ledger and all earlier backups as they are"
)

// unusable says what is wrong with the ledger, as a clause, and what the cause is;
// nil when the ledger found the fault itself.
func (l *Ledger) unusable(problem, advice string, cause error) error {
	return &records.Problem{Text: "ledger " + l.path + ": " + problem, Advice: advice, Kind: errors.Join(ErrUnusable, cause)}
}

// missing says that there is no ledger at its path.
func (l *Ledger) missing() error {
	return &records.Problem{Text: "there is no ledger at " + l.path, Kind: ErrMissing,
		Advice: "if you have a ledger, check its path: --ledger FILE, or ledger in the settings; else printing a manifest makes one"}
}

// issued returns what a code stands for. When its batch was not found, or the
// batch does not have it, the error is ErrNotIssued.
func (l *Ledger) issued(code codes.Code, batch records.Batch, err error) (records.Record, error) {
	record := records.Record{Batch: batch, Code: code}
	notIssued := &records.Problem{Kind: ErrNotIssued,
		Advice: "if it was printed with another ledger than " + l.path + ", name that one with --ledger FILE"}
	switch {
	case errors.Is(err, sql.ErrNoRows):
		notIssued.Text = fmt.Sprintf("%s: batch %d of %s is not in the ledger", code, code.Batch(), code.Date().Format(time.DateOnly))
	case err != nil:
		return records.Record{}, l.failure(err)
	case record.Exists():
		return record, nil
	default:
		has := batch.Grafts
		if code.Kind() == codes.Tray {
			has = batch.Trays()
		}
		notIssued.Text = fmt.Sprintf("%s: there is no %s %d; the batch has %s", code, code.Kind(), code.Number(), records.Counted(has, code.Kind().String()))
	}
	return records.Record{}, notIssued
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

// failure turns an error of the database into ErrUnusable by its code. An
// error that is none of the database's, such as that of a context, stays.
func (l *Ledger) failure(err error) error {
	code := primaryCode(err)
	if code == 0 {
		return err
	}
	problem, advice := describe(code)
	if problem == "" {
		problem, advice = "the database reports: "+err.Error(), "make a backup before you do anything else: slipread backup FILE"
	}
	return l.unusable(problem, advice, err)
}

// describe returns the problem and the advice for a primary result code, ""
// for one that is not foreseen.
func describe(code int) (problem, advice string) {
	switch code {
	case sqlite3.SQLITE_FULL:
		return "the disk is full", "free space on that disk and try again"
	case sqlite3.SQLITE_READONLY:
		return "it is read-only", "make the file and its folder writable, or name another ledger with --ledger FILE"
	case sqlite3.SQLITE_NOTADB:
		return "the file is not a ledger", adviceOther
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fmt.Sprintf("another program has kept it locked for %.0f seconds", patience.Seconds()), "let the other program finish and try again"
	case sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return "it cannot be opened", adviceFolder
	case sqlite3.SQLITE_CORRUPT:
		return "the file is damaged", adviceDamaged
	case sqlite3.SQLITE_IOERR:
		return "the disk cannot be read or written", "check the disk and its free space, and try again"
	}
	return "", ""
}
