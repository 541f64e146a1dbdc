package ledger

import (
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"
	"time"
)

// checkLength refuses a file that is shorter than its own head says, as a copy
// is that stopped half-way. SQLite may take such a file for a ledger with fewer
// batches, whose codes would then be given to other plants.
func (l *Ledger) checkLength() error {
	for range 3 {
		short, err := shorterThanItsHead(l.path)
		if err != nil {
			return l.fileFailure("cannot be read", err)
		}
		if !short {
			return nil
		}
		time.Sleep(20 * time.Millisecond) // another process may be moving its log into the file
	}
	return &StoreError{Path: l.path, Problem: "the file is damaged: its end is missing", advice: adviceDamaged}
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
	var head [100]byte
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
