package ledger

import (
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"
	"time"
)

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
	return l.unusable("the file is empty, as a copy is that broke off",
		"go on with a backup of it; if there never was a ledger, remove the file and a new one is made", nil)
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
